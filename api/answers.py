"""How an answer becomes bytes, and which forms of it a caller takes."""

import json
import re
from typing import Any
from typing import Final

import msgspec
from flask import Response
from flask import request
from werkzeug.exceptions import NotAcceptable

JSON = "application/json"
PROBLEM_JSON = "application/problem+json"

_SORTED: Final = msgspec.json.Encoder(order="sorted")
_PACKED: Final = msgspec.msgpack.Encoder()
#: A float of 64 bits whose exponent has all its bits; no text in UTF-8 looks like it.
_NOT_FINITE: Final = re.compile(rb"\xcb[\x7f\xff][\xf0-\xff]")


def as_json(value: Any, status: int = 200, media_type: str = JSON) -> Response:
    """Return a value as JSON, as `written` writes it."""
    return Response(written(value), status, content_type=media_type)


def written(value: Any) -> bytes:
    """Return a value as JSON: equal values give the same bytes, a number that is not finite is a ValueError.

    By msgspec, a tenth of the time of the standard library. It has no word for what is not finite, and writes null;
    so the value is looked through in the form in which such a number cannot be missed. What is found, or cannot be
    written, is the standard library's to write or to refuse.
    """
    try:
        if not _NOT_FINITE.search(_PACKED.encode(value)):
            return _SORTED.encode(value)
    except (TypeError, ValueError, OverflowError, RecursionError):
        pass
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=True)
    # Half a surrogate pair, which a refusal may have to repeat, becomes its own escape in JSON.
    return text.encode("utf-8", "backslashreplace")


def as_fixed(response: Response) -> Response:
    """Return an answer that stays the same until the service is replaced: named by an ETag, or 304 to who has it."""
    response.add_etag()
    response.cache_control.no_cache = True
    response.make_conditional(request)
    return response


def require_acceptable(media_type: str = JSON) -> None:
    """Raise NotAcceptable where the caller says that it does not take this media type."""
    if request.environ.get("HTTP_ACCEPT") and not request.accept_mimetypes.best_match([media_type]):
        raise NotAcceptable(f"The answer is {media_type}, which the Accept header of the request excludes.")
