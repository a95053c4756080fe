"""What is done for every request: its name, its place in a trace, its line in the log, the headers of its answer."""

import logging
import re
import secrets
import time
from dataclasses import dataclass
from typing import Final

from flask import Flask
from flask import Response
from flask import g
from flask import request

from .logs import bind
from .logs import unbind

_LOG: Final = logging.getLogger("sccr.service")

_NAME: Final = re.compile(r"[A-Za-z0-9._-]{1,128}")
_TRACE_PARENT: Final = re.compile(r"(?!ff)[0-9a-f]{2}-(?!0{32})([0-9a-f]{32})-(?!0{16})([0-9a-f]{16})-[0-9a-f]{2}")
#: What every answer has, unless it says otherwise: a browser is to run nothing of it, show it in no frame, take it for
#: what it says it is, and give it to no page of somebody else's.
CAREFUL: Final = {
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}


_UNLESS_SAID: Final = {**CAREFUL, "Cache-Control": "no-store"}


@dataclass(frozen=True, slots=True)
class Passage:
    """One request on its way through the service, as the caller's systems and the log know it."""

    request_id: str
    trace_id: str | None
    parent_id: str | None
    span_id: str
    began: float


def follow(app: Flask) -> None:
    """Give every request of the application its name, its line in the log and its headers."""
    app.before_request(_begin)
    app.after_request(_finish)
    app.teardown_request(_forget)


def request_id() -> str:
    """Return the name of this request: the caller's own where it is a plain one, else a new one."""
    return _passage().request_id


def _passage() -> Passage:
    if "passage" not in g:
        _begin()
    passage = g.passage
    assert isinstance(passage, Passage)
    return passage


def _begin() -> None:
    # Of the environment, not of `request.headers`, which makes an exception of each header that is not there.
    sent = request.environ.get
    named = sent("HTTP_X_REQUEST_ID", "")
    traced = _TRACE_PARENT.fullmatch(sent("HTTP_TRACEPARENT", ""))
    g.passage = Passage(
        request_id=named if _NAME.fullmatch(named) else secrets.token_hex(16),
        trace_id=traced[1] if traced else None,
        parent_id=traced[2] if traced else None,
        span_id=secrets.token_hex(8),
        began=time.perf_counter(),
    )
    bind(request_id=g.passage.request_id, trace_id=g.passage.trace_id, span_id=g.passage.span_id)


def _forget(_: BaseException | None) -> None:
    unbind()  # the thread goes on to another request


def _finish(response: Response) -> Response:
    passage = _passage()
    headers = response.headers
    headers["X-Request-Id"] = passage.request_id
    there = {name.lower() for name, _ in headers}
    for name, value in _UNLESS_SAID.items():
        if name.lower() not in there:
            headers.add(name, value)
    _LOG.info("request", extra={"fields": _fields(passage, response)})
    return response


def _fields(passage: Passage, response: Response) -> dict[str, str | int | float | None]:
    """Return the line of the log. The path is that of the route, so that no text of the caller gets in."""
    route = request.url_rule.rule if request.url_rule else None
    return {
        "request_id": passage.request_id,
        "trace_id": passage.trace_id,
        "parent_id": passage.parent_id,
        "span_id": passage.span_id,
        "method": request.method if request.method.isalpha() else None,
        "route": route,
        "status": response.status_code,
        "bytes_in": request.content_length,
        "bytes_out": response.content_length,
        "milliseconds": round((time.perf_counter() - passage.began) * 1000, 3),
    }
