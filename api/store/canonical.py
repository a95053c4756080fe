"""JSON as it is kept: the canonical text (RFC 8785), whose SHA-256 is the digest of the document."""

import json
from hashlib import sha256
from typing import Any
from typing import Final

import rfc8785

from .errors import NotStorable

_PLAIN: Final = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
_MOST: Final = 2**53 - 1
#: Between these, Python and ECMAScript write a float that is no whole number with the same digits.
_LEAST_FLOAT: Final = 1e-4
_MOST_FLOAT: Final = 1e15


def canonical(value: Any) -> str:
    """Return the canonical text of a value of JSON.

    Raises ValueError for a value that has none: NaN, an integer beyond 2**53 - 1, half a surrogate pair.
    """
    if _is_plain(value):
        return _PLAIN.encode(value)  # six times as fast
    return rfc8785.dumps(value).decode()


def parsed(text: str) -> Any:
    """Return the value of a canonical text.

    A whole number beyond 2**53 - 1 in it was a float, and is one again: as an integer it would have no canonical text.
    """
    return _READER.decode(text)


def digest_of_text(text: str) -> str:
    """Return the SHA-256 of a text in UTF-8, as hexadecimal digits. Raises NotStorable for half a surrogate pair."""
    try:
        return sha256(text.encode()).hexdigest()
    except UnicodeEncodeError as error:
        raise NotStorable("a text holds half a surrogate pair, which nothing stored can hold") from error


def _number(digits: str) -> int | float:
    number = int(digits)
    return number if -_MOST <= number <= _MOST else float(digits)


_READER: Final = json.JSONDecoder(parse_int=_number)


def _is_plain(value: Any) -> bool:
    """Whether the encoder of the standard library gives the canonical text as it is."""
    waiting = [value]
    while waiting:
        inner = waiting.pop()
        kind = type(inner)
        if kind is dict:
            if not all(type(name) is str and name.isascii() for name in inner):
                return False
            waiting += inner.values()
        elif kind is list:
            waiting += inner
        elif not (kind is str or kind is bool or inner is None or _is_plain_number(inner)):
            return False
    return True


def _is_plain_number(value: Any) -> bool:
    if type(value) is int:
        return -_MOST <= value <= _MOST
    return type(value) is float and _LEAST_FLOAT <= abs(value) <= _MOST_FLOAT and not value.is_integer()
