"""Lists in pages: a cursor that says where the next one begins, good for the same question only."""

import json
import re
from base64 import urlsafe_b64decode
from base64 import urlsafe_b64encode
from binascii import Error as NotBase64
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any
from typing import Final
from urllib.parse import urlencode

from flask import Response
from flask import request

from .addresses import path_sent
from .answers import as_json
from .parameters import Misread
from .parameters import Reader
from .parameters import fault
from .parameters import parameters
from .parameters import whole
from .parameters import wrong_parameters

LIMIT: Final = 50
MOST: Final = 200

#: Places of lists that are sorted by name, and of those that are sorted by number.
NAMES: Final = re.compile(r"[^\x00-\x1f\x7f-\x9f]+")
NUMBERS: Final = re.compile(r"[1-9][0-9]{0,11}")

_NO_CURSOR: Final = "is no cursor; send the member next of a page as it is, or none"
_MARK: Final = 8
_LONGEST_CURSOR: Final = 2_000


@dataclass(frozen=True, slots=True)
class Asked:
    """A list that is asked for: the filters, how many items, and the place after which the page begins."""

    filters: Mapping[str, Any]
    limit: int
    after: str | None

    def page(self, name: str, items: list[Any], after: str | None, **more: Any) -> Response:
        """Return a page as an answer; `after` is the place at which the next one begins, None where it is the last."""
        following = None if after is None else _cursor(after)
        response = as_json({name: items, "next": following, **more})
        if following is not None:
            query = [pair for pair in request.args.items(multi=True) if pair[0] != "cursor"]
            address = f"{path_sent()}?{urlencode([*query, ('cursor', following)])}"
            response.headers["Link"] = f'<{address}>; rel="next"'
        response.vary.add("Accept")
        return response


def asked_page(filters: Mapping[str, Reader], places: re.Pattern[str] = NAMES) -> Asked:
    """Return which page of a list the request asks for, and after which of its places it begins. Raises Refusal (400).

    A cursor can be made up: whatever place it says is held against `places`.
    """
    read = parameters({**filters, "limit": whole(1, MOST), "cursor": _place})
    place = read.pop("cursor")
    limit = read.pop("limit")
    if place is not None and place[0] != _mark():
        told = "is of another question; send a cursor with the filters that it was given for, or none"
        raise wrong_parameters([fault(("query", "cursor"), "foreign-cursor", told)])
    if place is not None and not places.fullmatch(place[1]):
        raise wrong_parameters([fault(("query", "cursor"), "not-a-cursor", _NO_CURSOR)])
    return Asked(read, limit or LIMIT, None if place is None else place[1])


def _cursor(place: str) -> str:
    return _written(_mark() + place.encode())


def _place(cursor: str) -> tuple[bytes, str]:
    try:
        if len(cursor) > _LONGEST_CURSOR:
            raise ValueError
        whole = urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4))
        if _written(whole) != cursor or len(whole) <= _MARK:
            raise ValueError
        return whole[:_MARK], whole[_MARK:].decode()
    except (NotBase64, ValueError) as error:
        raise Misread("not-a-cursor", _NO_CURSOR) from error


def _written(cursor: bytes) -> str:
    return urlsafe_b64encode(cursor).decode().rstrip("=")


def _mark() -> bytes:
    """Return what a question is known by: its path and filters. A cursor of another one would skip or repeat."""
    asked = sorted(pair for pair in request.args.items(multi=True) if pair[0] not in ("cursor", "limit"))
    return sha256(json.dumps([request.path, asked]).encode("utf-8", "surrogatepass")).digest()[:_MARK]
