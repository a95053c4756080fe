"""The one value that says who rates: so many processes of this machine, or the cluster of this address."""

import os
import re
from typing import Final

from sccr.many.executors import Executor
from sccr.many.executors import InThisProcess

#: The environment variable that says it where nobody else does.
VARIABLE: Final = "SCCR_WORKERS"

_MOST: Final = 512
_COUNT: Final = re.compile(r"[0-9]{1,9}")
_ADDRESS: Final = re.compile(r"(?:tcp|tls)://(?:\[[0-9A-Fa-f:.]+\]|[^\s:/@\[\]]+):(?P<port>[0-9]{1,5})")
_LAST_PORT: Final = 65535


def workers_of(value: int | str | None) -> int | str:
    """Return how many processes of this machine rate, or the address of the cluster that does.

    0 is this process. None is what SCCR_WORKERS says, else a process for each core that this one may use. Raises
    ValueError for a value of another form.
    """
    if value is None:
        value = os.environ.get(VARIABLE, "").strip() or len(os.sched_getaffinity(0))
    if isinstance(value, str) and (address := _ADDRESS.fullmatch(value)) and int(address["port"]) <= _LAST_PORT:
        return value
    if isinstance(value, str) and _COUNT.fullmatch(value):
        value = int(value)
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _MOST:
        return value
    raise ValueError(
        f"{value!r} says nothing of who rates; write how many processes (0 to {_MOST}), or the address of the "
        "scheduler of a cluster, such as tls://scheduler.example:8786"
    )


def executor(workers: int | str | None = None) -> Executor:
    """Return who rates, by a value that `workers_of` takes. It is to be closed.

    Raises ValueError for a value of another form, and NoWorkers for a cluster that cannot be had.
    """
    own = workers_of(workers)
    if isinstance(own, str):
        from sccr.many.cluster import Cluster  # few have one, and what it needs takes a second to import

        return Cluster(own)
    if own == 0:
        return InThisProcess()
    from sccr.many.processes import LocalProcesses

    return LocalProcesses(own)
