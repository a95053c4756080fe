"""JSON as a safety calculation takes it: nothing guessed, nothing that two readers could read differently."""

import json
import math
import re
from collections import Counter
from collections.abc import Iterator
from itertools import accumulate
from itertools import islice
from typing import Any
from typing import Final

import msgspec

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.schema.digest import CANONICAL
from sccr.schema.json_values import MAX_DEPTH
from sccr.schema.json_values import MAX_INTEGER
from sccr.schema.json_values import faults
from sccr.schema.problems import MOST_PROBLEMS
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import Path
from sccr.schema.problems import in_document_order
from sccr.schema.problems import shown

#: A string, closed or not: that it may stay open keeps the search linear on whatever text.
_STRING: Final = re.compile(r'"[^"\\]*+(?:\\.[^"\\]*+)*+"?', re.DOTALL)
_BRACKET: Final = re.compile(r"[\[\]{}]")
_STEP: Final = {"[": 1, "{": 1, "]": -1, "}": -1}
#: What has to be in the text for a string to hold something that is refused.
_CONTROL_ESCAPE: Final = re.compile(r"\\[bfnrtu]")
_CONTROL: Final = re.compile(r"[\x7f-\x9f\ud800-\udfff]")
#: Several times as fast as the standard library's, and asked first.
_DECODER: Final = msgspec.json.Decoder()
_BYTE_ORDER_MARK: Final = "\ufeff"
_LONGEST_INTEGER: Final = len(str(-MAX_INTEGER))


def decode(body: bytes | str) -> Any:
    """Return the value of a JSON text in UTF-8.

    Raises MalformedJson where it is not JSON (with line and column), not UTF-8, nested too deep, or holds NaN or
    Infinity; InvalidDocument, with every place, where a key is repeated in an object, a number is out of range
    (1e999, integers beyond 2**53 - 1) or a string holds control characters or half a surrogate pair.
    """
    plain = plain_json(body)
    if plain is not None and _within_bounds(plain[0]):
        return plain[0]
    return decode_with_care(body)


def decode_with_care(body: bytes | str) -> Any:
    """Return the same, or raise what is wrong, by a reader that notes everything."""
    text = _text(body)
    _refuse_depth(text)
    reader = _Reader()
    try:
        value = reader.decode(text)
    except json.JSONDecodeError as error:
        raise MalformedJson(f"not JSON: {error.msg}", error.lineno, error.colno) from error
    found = list(islice(_repeated(value), MOST_PROBLEMS + 1)) if reader.repeated else []
    if reader.out_of_range or _suspect(text):
        found += islice(faults(value), MOST_PROBLEMS + 1)
    if found:
        raise InvalidDocument(in_document_order(found, value))
    return value


def plain_json(body: bytes | str) -> tuple[Any, bytes] | None:
    """Return the value of a JSON text and its canonical form, or None where something may be wrong with the text.

    No key of it is repeated and no string holds a character that is refused; depth and numbers are not looked at.
    The decoder passes over repeated keys, but what it dropped is missing, with its quotation marks, from what is
    written of the value again; and where that has no backslash, no string holds a control character or quotation mark.
    """
    try:
        value = _DECODER.decode(body)
        written = CANONICAL.encode(value)
    except (ValueError, msgspec.MsgspecError, RecursionError):
        return None
    quotes = body.count('"') if isinstance(body, str) else body.count(b'"')
    if quotes != written.count(b'"') or b"\\" in written or b"\x7f" in written:
        return None
    if not written.isascii() and _CONTROL.search(written.decode()):
        return None
    return value, written


def _within_bounds(value: Any) -> bool:
    """Whether a value read from JSON is nested no deeper than is taken, and no integer of it is too large."""
    level: list[Any] = [[value]]
    for _ in range(MAX_DEPTH + 1):
        members: list[Any] = []
        for each in level:
            members += each.values() if type(each) is dict else each
        others = [each for each in members if type(each) is not str]
        level = [each for each in others if type(each) is dict or type(each) is list]
        if any(type(each) is int and abs(each) > MAX_INTEGER for each in others):
            return False
        if not level:
            return True
    return False


def _text(body: bytes | str) -> str:
    if isinstance(body, bytes):
        try:
            body = body.decode("utf-8")
        except UnicodeDecodeError as error:
            raise MalformedJson(f"not UTF-8: the byte at offset {error.start} is not of that encoding") from error
    if body.startswith(_BYTE_ORDER_MARK):
        raise MalformedJson("starts with a byte order mark; leave it out", 1, 1)
    if "\0" in body[:4]:
        raise MalformedJson("not UTF-8: it looks like UTF-16 or UTF-32")
    return body


def _refuse_depth(text: str) -> None:
    """Count before parsing: the parser recurses, and where it gives up depends on the version of Python."""
    outside = _STRING.sub("", text) if "\\" in text else "".join(text.split('"')[::2])
    brackets = _BRACKET.findall(outside)
    if max(accumulate(_STEP[bracket] for bracket in brackets), default=0) > MAX_DEPTH:
        raise MalformedJson(f"nested more than {MAX_DEPTH} deep")


def _suspect(text: str) -> bool:
    """Whether a string may hold a control character: asked of the text first, since nearly none has any."""
    if "\\" in text and _CONTROL_ESCAPE.search(text):
        return True
    return (not text.isascii() or "\x7f" in text) and _CONTROL.search(text) is not None


class _Repeated(dict[str, Any]):
    """An object in which a key stands more than once, with all that was written."""

    __slots__ = ("pairs",)

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        self.pairs = pairs


class _Reader(json.JSONDecoder):
    """The decoder of the standard library, which also notes what it would pass over."""

    def __init__(self) -> None:
        self.repeated = False
        self.out_of_range = False
        super().__init__(
            object_pairs_hook=self._object,
            parse_float=self._float,
            parse_int=self._integer,
            parse_constant=_refuse_constant,
        )

    def _object(self, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        value = dict(pairs)
        if len(value) == len(pairs):
            return value
        self.repeated = True
        return _Repeated(pairs)

    def _integer(self, digits: str) -> int | float:
        value = int(digits) if len(digits) <= _LONGEST_INTEGER else math.inf
        self.out_of_range |= abs(value) > MAX_INTEGER
        return value

    def _float(self, digits: str) -> float:
        value = float(digits)
        self.out_of_range |= math.isinf(value)
        return value


def _refuse_constant(name: str) -> None:
    raise MalformedJson(f"not JSON: {name} is not a number")


def _repeated(value: Any) -> Iterator[Found]:
    """Yield each key that is repeated in its object, wherever it stands."""
    waiting: list[tuple[Any, Any]] = [(value, None)]
    while waiting:
        inner, place = waiting.pop()
        if isinstance(inner, list):
            waiting += reversed([(each, (place, number)) for number, each in enumerate(inner)])
        elif isinstance(inner, dict):
            pairs = inner.pairs if isinstance(inner, _Repeated) else list(inner.items())
            waiting += reversed([(each, (place, name)) for name, each in pairs])
            if len(inner) < len(pairs):
                times = Counter(name for name, _ in pairs)
                path = _path(place)
                yield from (_once_only(path, name) for name in times if times[name] > 1)


def _path(place: Any) -> Path:
    """Return the path of a place, which is the place around it and the last step: a path for each would take longer."""
    steps: list[str | int] = []
    while place is not None:
        place, step = place
        steps.append(step)
    return tuple(reversed(steps))


def _once_only(path: Path, name: str) -> Found:
    return Found((*path, name), Fault("duplicate-key", f"{shown(name)} stands more than once in this object; keep one"))
