"""The parameters of a query: each known, each once, each read or refused; a misspelt filter must not vanish."""

from collections.abc import Callable
from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any
from typing import Final

from flask import request

from sccr.errors import Problem
from sccr.schema.json_values import FORBIDDEN
from sccr.schema.misread import QuantityError
from sccr.schema.nearest import nearest
from sccr.schema.problems import pointer
from sccr.schema.problems import shown

from .refusals import Refusal

Reader = Callable[[str], Any]

_LONGEST_TEXT: Final = 500
_LONGEST_NUMBER: Final = 15


class Misread(ValueError):
    """A parameter is not what is wanted. `code` is stable; the text says what to write."""

    def __init__(self, code: str, detail: str) -> None:
        self.code = code
        super().__init__(detail)


def parameters(readers: Mapping[str, Reader]) -> dict[str, Any]:
    """Return the parameters of the query, by name; None for each that is left out.

    Raises Refusal (400) with everything that is wrong with them.
    """
    faults = list(_strangers(readers))
    values: dict[str, Any] = {}
    for name, read in readers.items():
        written = request.args.getlist(name)
        values[name] = None
        if len(written) > 1:
            faults.append(fault(("query", name), "repeated", "stands more than once; give it once"))
        elif written:
            try:
                values[name] = read(written[0])
            except (Misread, QuantityError) as error:
                faults.append(fault(("query", name), error.code, str(error)))
    if faults:
        raise wrong_parameters(faults)
    return values


def fault(place: tuple[str, ...], code: str, detail: str) -> Problem:
    """Return what is wrong with a part of the request that is not its body: ("query", "limit"), ("path", "order")…"""
    return Problem(pointer(place), code, detail)


def wrong_parameters(faults: Collection[Problem]) -> Refusal:
    """Return the refusal of a request for its parameters."""
    count = "1 error" if len(faults) == 1 else f"{len(faults)} errors"
    return Refusal("invalid-parameter", f"{count} in the parameters of the request.", errors=faults)


def _strangers(readers: Mapping[str, Reader]) -> Iterator[Problem]:
    for name in request.args:
        if name not in readers:
            near = nearest(name, readers)
            remedy = f"did you mean {shown(near)}?" if near else f"known are {', '.join(readers) or 'none'}"
            yield fault(("query", name[:64]), "unknown-parameter", f"{shown(name)} is no parameter here; {remedy}")


def text(value: str) -> str:
    """Return a text of one line."""
    if not value.strip() or len(value) > _LONGEST_TEXT or FORBIDDEN.search(value):
        raise Misread("not-a-text", f"write 1 to {_LONGEST_TEXT} characters, without control characters")
    return value


def whole(least: int, most: int) -> Reader:
    """Return a reader of whole numbers within bounds."""

    def read(value: str) -> int:
        if value.isascii() and value.isdigit() and len(value) <= _LONGEST_NUMBER and least <= int(value) <= most:
            return int(value)
        raise Misread("not-an-integer", f"{shown(value)} is not a whole number within {least} to {most}")

    return read


def one_of(choices: Mapping[str, Any] | Collection[str]) -> Reader:
    """Return a reader of words out of a closed set, each of which stands for itself or for its value."""

    def read(value: str) -> Any:
        if value in choices:
            return choices[value] if isinstance(choices, Mapping) else value
        near = nearest(value, list(choices))
        remedy = f"did you mean {shown(near)}?" if near else f"known are {', '.join(choices)}"
        raise Misread("unknown-word", f"{shown(value)} is not known here; {remedy}")

    return read


#: A switch: true or false.
flag: Final = one_of({"true": True, "false": False})
