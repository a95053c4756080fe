"""The worker of the server: it answers what never reaches the application with a problem, too."""

import json
import logging
import secrets
from http import HTTPStatus
from typing import Any
from typing import Final

from gunicorn import util
from gunicorn.http import errors
from gunicorn.workers.gthread import ThreadWorker

from .answers import PROBLEM_JSON
from .problem_types import problem_members
from .problem_types import problem_type

_LOG: Final = logging.getLogger("sccr.service")

_STATUS: Final = (
    (errors.LimitRequestLine, HTTPStatus.REQUEST_URI_TOO_LONG),
    (errors.LimitRequestHeaders, HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE),
    (errors.UnsupportedTransferCoding, HTTPStatus.NOT_IMPLEMENTED),
    (errors.ParseException, HTTPStatus.BAD_REQUEST),
)


class Worker(ThreadWorker):  # type: ignore[misc]  # gunicorn has no types
    """gunicorn's worker with threads, which answers with pages of HTML otherwise."""

    def handle_error(self, req: Any, client: Any, addr: Any, exc: Exception) -> None:
        """Answer a request that is not HTTP, or that breaks the limits of the server."""
        status = next((each for kind, each in _STATUS if isinstance(exc, kind)), HTTPStatus.INTERNAL_SERVER_ERROR)
        name = secrets.token_hex(16)
        told = {"request_id": name, "status": status.value}
        level, trace = (logging.ERROR, exc) if status >= HTTPStatus.INTERNAL_SERVER_ERROR else (logging.INFO, None)
        _LOG.log(level, "not a request", exc_info=trace, extra={"fields": told})
        try:
            util.write_nonblock(client, _answer(status, name))
        except OSError:
            _LOG.info("answer not delivered", extra={"fields": told})


def _answer(status: HTTPStatus, request_id: str) -> bytes:
    kind = problem_type(status)
    body = json.dumps(problem_members(kind, kind.description, "", request_id)).encode()
    lines = (
        f"HTTP/1.1 {status.value} {status.phrase}",
        "Connection: close",
        f"Content-Type: {PROBLEM_JSON}",
        f"Content-Length: {len(body)}",
        "Cache-Control: no-store",
        "X-Content-Type-Options: nosniff",
        f"X-Request-Id: {request_id}",
    )
    return "\r\n".join((*lines, "", "")).encode("ascii") + body
