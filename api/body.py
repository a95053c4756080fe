"""The body of a request: its media type and its length, before anything reads what it says."""

from typing import Final

from flask import request
from werkzeug.exceptions import BadRequest
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.exceptions import RequestTimeout
from werkzeug.exceptions import UnsupportedMediaType

from .answers import JSON
from .operations.patience import came_too_late

_CUT_SHORT: Final = "The body breaks off before its end, or its chunks are malformed. Send it again, whole."


def json_body(most: int) -> bytes:
    """Return the bytes of a JSON body, not yet decoded.

    Raises UnsupportedMediaType (415), RequestEntityTooLarge (413, above `most` bytes) or BadRequest (400, cut short).
    """
    _require_json()
    return whole_body(most)


def whole_body(most: int) -> bytes:
    """Return the bytes of a body of whatever media type. Raises as `json_body` does, and 415 for a compressed one."""
    _require_plain()
    stated = request.content_length
    if stated is not None and stated > most:
        raise RequestEntityTooLarge(_too_large(most))
    # One byte more than is taken: werkzeug would cut a chunked body off at its limit without a word.
    request.max_content_length = most + 1
    body = _read()
    if len(body) > most:
        raise RequestEntityTooLarge(_too_large(most))
    if stated is not None and len(body) < stated:
        raise BadRequest(_CUT_SHORT)
    return body


def _read() -> bytes:
    try:
        return request.get_data(cache=False)
    except Exception as error:  # each server has its own for a body that breaks the rules of HTTP
        if came_too_late():
            raise RequestTimeout("The body did not come in the time that there is for it. Send it again.") from error
        raise BadRequest(_CUT_SHORT) from error


def _require_json() -> None:
    media_type = request.mimetype
    if media_type != JSON and not (media_type.startswith("application/") and media_type.endswith("+json")):
        said = f"{media_type!r}" if media_type else "nothing"
        raise UnsupportedMediaType(f"Content-Type says {said}; send {JSON}.")
    charset = request.mimetype_params.get("charset", "utf-8")
    if charset.lower() != "utf-8":
        raise UnsupportedMediaType(f"The charset is {charset!r}; JSON is sent in UTF-8.")


def _require_plain() -> None:
    coding = request.environ.get("HTTP_CONTENT_ENCODING", "identity")
    if coding.lower() != "identity":
        raise UnsupportedMediaType(f"Content-Encoding says {coding!r}; send the body as it is.")


def _too_large(most: int) -> str:
    return f"The body is longer than {most} bytes, which is the most that is read."
