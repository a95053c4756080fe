"""How an answer becomes bytes, and which forms of it a caller takes."""

import json
from typing import Any

from flask import Response
from flask import request
from werkzeug.exceptions import NotAcceptable

JSON = "application/json"
PROBLEM_JSON = "application/problem+json"


def as_json(value: Any, status: int = 200, media_type: str = JSON) -> Response:
    """Return a value as JSON: equal values give the same bytes, a number that is not finite is a ValueError."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=True)
    # Half a surrogate pair, which a refusal may have to repeat, becomes its own escape in JSON.
    return Response(text.encode("utf-8", "backslashreplace"), status, content_type=media_type)


def as_fixed(response: Response) -> Response:
    """Return an answer that stays the same until the service is replaced: named by an ETag, or 304 to who has it."""
    response.add_etag()
    response.cache_control.no_cache = True
    response.make_conditional(request)
    return response


def require_acceptable(media_type: str = JSON) -> None:
    """Raise NotAcceptable where the caller says that it does not take this media type."""
    if request.accept_mimetypes and not request.accept_mimetypes.best_match([media_type]):
        raise NotAcceptable(f"The answer is {media_type}, which the Accept header of the request excludes.")
