"""What JSON can hold and is taken here: bounded in depth, in size of numbers, and without unprintable controls."""

import math
import re
from collections.abc import Iterator
from typing import Any
from typing import Final

from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import Path
from sccr.schema.problems import shown

#: How deep objects and lists may stand in each other.
MAX_DEPTH: Final = 32
#: The largest integer that every reader of JSON holds exactly (RFC 7493).
MAX_INTEGER: Final = 2**53 - 1

#: Control characters, and halves of surrogate pairs, which no encoding of text can carry.
FORBIDDEN: Final = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]")


def faults(value: Any, path: Path = (), most: int | None = None) -> Iterator[Found]:
    """Yield what is no acceptable JSON in a value, in its order, without recursion.

    `most` bounds the number of values looked at: those of a caller's own objects may hold each other.
    """
    waiting: list[tuple[Any, Path, int]] = [(value, path, 0)]
    seen = 0
    while waiting:
        inner, where, depth = waiting.pop()
        seen += 1
        if most is not None and seen > most:
            yield Found(path, Fault("too-large", f"holds more than {most} values"))
            return
        fault = _fault(inner, depth)
        if fault is not None:
            yield Found(where, fault)
        elif isinstance(inner, dict):
            for name in inner:
                if not isinstance(name, str) or FORBIDDEN.search(name):
                    yield Found(where, Fault("not-a-name", f"{shown(name)} is no name for a field"))
            named = [(each, (*where, name), depth + 1) for name, each in inner.items() if isinstance(name, str)]
            waiting += reversed(named)  # so that the first is looked at first
        elif isinstance(inner, list):
            waiting += reversed([(each, (*where, number), depth + 1) for number, each in enumerate(inner)])


def _fault(value: Any, depth: int) -> Fault | None:
    """Return what is wrong with one value, apart from the values in it."""
    if isinstance(value, str):
        return _text_fault(value)
    if value is None or isinstance(value, bool):
        return None
    if isinstance(value, int):
        return None if abs(value) <= MAX_INTEGER else Fault("number-out-of-range", "is too large for an exact number")
    if isinstance(value, float):
        return None if math.isfinite(value) else Fault("number-out-of-range", "is not a finite number")
    if isinstance(value, dict | list):
        return None if depth < MAX_DEPTH else Fault("too-deep", f"is nested more than {MAX_DEPTH} deep")
    return Fault("not-json", f"{shown(value)} is not a value of JSON")


def _text_fault(text: str) -> Fault | None:
    if not FORBIDDEN.search(text):
        return None
    return Fault("control-character", f"{shown(text)} holds a control character or half a surrogate pair; leave it out")
