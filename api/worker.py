"""The worker of the server: it waits for nobody too long, and answers what never reaches the application, too."""

import json
import logging
import secrets
import select
import selectors
import time
from functools import partial
from http import HTTPStatus
from typing import Any
from typing import Final

from gunicorn import util
from gunicorn.http import errors
from gunicorn.workers.gthread import ThreadWorker

from .answers import PROBLEM_JSON
from .logs import take_stray_exceptions
from .operations.load import waited
from .operations.patience import PatientSocket
from .problem_types import problem_members
from .problem_types import problem_type
from .requests import CAREFUL
from .service import Service
from .settings import Settings

_LOG: Final = logging.getLogger("sccr.service")

#: After how long a new connection is closed on which nothing comes [s].
_SILENT: Final = 5.0

_STATUS: Final = (
    (errors.LimitRequestLine, HTTPStatus.REQUEST_URI_TOO_LONG),
    (errors.LimitRequestHeaders, HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE),
    (errors.UnsupportedTransferCoding, HTTPStatus.NOT_IMPLEMENTED),
    (errors.ParseException, HTTPStatus.BAD_REQUEST),
)


class Worker(ThreadWorker):  # type: ignore[misc]  # gunicorn has no types
    """gunicorn's worker with threads, which answers with pages of HTML otherwise, and waits for ever."""

    def init_process(self) -> None:
        """Begin, in the process of the worker."""
        take_stray_exceptions()
        super().init_process()

    def enqueue_req(self, conn: Any) -> None:
        """Have a request answered as soon as a thread is free."""
        if not isinstance(conn.sock, PatientSocket):
            conn.sock = PatientSocket.of(conn.sock, self._settings.send_seconds)
            if self._is_silent(conn):
                return
        conn.queued_at = time.monotonic()
        super().enqueue_req(conn)

    def _is_silent(self, conn: Any) -> bool:
        """Have a new connection on which nothing has come yet wait beside the threads, and return whether it does.

        gunicorn has a thread wait for the first byte, five seconds long: some hundred connections that say nothing
        would keep everybody else waiting for minutes.
        """
        come = select.poll()
        come.register(conn.sock, select.POLLIN)
        conn.data_ready = bool(come.poll(0))
        if conn.data_ready:
            return False
        conn.sock.setblocking(False)
        conn.timeout = time.monotonic() + _SILENT
        self.pending_conns.append(conn)
        self.poller.register(conn.sock, selectors.EVENT_READ, partial(self.on_pending_socket_readable, conn))
        return True

    def handle(self, conn: Any) -> Any:
        """Answer a request in the thread that was free."""
        waited.set(time.monotonic() - conn.queued_at)
        conn.sock.begin(self._settings.receive_seconds)
        handled = super().handle(conn)
        if conn.sock.late and not conn.sock.answered:
            self._refuse(HTTPStatus.REQUEST_TIMEOUT, conn.sock)
        return handled

    def is_parent_alive(self) -> bool:
        """Return whether the server lives; a worker that it left behind ends as one does that is told to stop.

        gunicorn's would go on with connections that are kept alive and busy, and keep the port, until its grace ends.
        """
        lives = bool(super().is_parent_alive())
        if not lives:
            self.alive = False
        return lives

    @property
    def _settings(self) -> Settings:
        settings = self.wsgi.extensions[Service.NAME].settings
        assert isinstance(settings, Settings)
        return settings

    def handle_error(self, req: Any, client: Any, addr: Any, exc: Exception) -> None:
        """Answer a request that is not HTTP, or that breaks the limits of the server."""
        status = next((each for kind, each in _STATUS if isinstance(exc, kind)), HTTPStatus.INTERNAL_SERVER_ERROR)
        self._refuse(status, client, exc)

    def _refuse(self, status: HTTPStatus, client: Any, exc: Exception | None = None) -> None:
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
        *(f"{name}: {value}" for name, value in CAREFUL.items()),
        f"X-Request-Id: {request_id}",
    )
    return "\r\n".join((*lines, "", "")).encode("ascii") + body
