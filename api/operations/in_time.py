"""A limit of time for what a request computes, and the refusal where it is passed; `sccr.many.in_time` keeps it."""

from collections.abc import Callable
from typing import Final
from typing import TypeVar

from sccr.errors import OutOfTime
from sccr.many.in_time import in_time as _in_time

from ..refusals import Refusal

Result = TypeVar("Result")

_RETRY_SECONDS: Final = 30


def in_time(seconds: float, work: Callable[[], Result]) -> Result:
    """Return what some work returns; only work without lasting effects, since it may be stopped anywhere.

    Raises Refusal (503, out-of-time) where it takes longer than `seconds`, and whatever the work raises.
    """
    try:
        return _in_time(seconds, work)
    except OutOfTime as error:
        raise Refusal("out-of-time", out_of_time(str(error)), {"Retry-After": str(_RETRY_SECONDS)}) from None


def out_of_time(detail: str) -> str:
    """Return what is told of work that was stopped, from what its error says."""
    return f"{detail[:1].upper()}{detail[1:]}. Ask again when the service has less to do."
