"""The log as lines of JSON, one for each event, on the standard error.

The logging of the standard library, not structlog: the lines of gunicorn and of every other library come that way in
any case, and take on here what is bound to the request (`bind`), as the service's own do. It is as fast, is one
dependency less, and leaves the log to whoever runs the application on a server of his own.
"""

import json
import logging
import sys
import threading
from collections.abc import Mapping
from contextvars import ContextVar
from datetime import UTC
from datetime import datetime
from types import MappingProxyType
from typing import Any
from typing import Final

#: What the lines of a request have in common, whoever writes them; each thread has its own.
_BOUND: Final[ContextVar[Mapping[str, Any]]] = ContextVar("bound", default=MappingProxyType({}))


def bind(**fields: Any) -> None:
    """Add fields to every line that this thread writes from now on, until `unbind`."""
    _BOUND.set({**_BOUND.get(), **fields})


def unbind() -> None:
    """End what `bind` began."""
    _BOUND.set({})


class JsonLines(logging.Formatter):
    """A formatter that writes a record as an object of JSON, with what is bound and what `extra={"fields": …}` adds."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line of a record; a traceback is a string in it."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": record.process,
            "message": record.getMessage(),
            **_BOUND.get(),
            **getattr(record, "fields", {}),
        }
        if record.exc_info:
            line["traceback"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=True, default=str)


def take_stray_exceptions() -> None:
    """Have what nobody can catch, in finalisers and threads, become lines of the log, too. For a process of our own."""
    sys.unraisablehook = lambda stray: _stray(stray.err_msg or "ignored in a finaliser", stray.exc_value)
    threading.excepthook = lambda stray: _stray("a thread ended", stray.exc_value)


def _stray(message: str, error: BaseException | None) -> None:
    logging.getLogger("sccr.service").error(message, exc_info=error)


#: For `logging.config.dictConfig`; gunicorn's own lines take the same form.
CONFIGURATION: Final[dict[str, Any]] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"lines": {"()": JsonLines}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "lines", "stream": "ext://sys.stderr"}},
    "root": {"level": "WARNING", "handlers": ["stderr"]},
    "loggers": {
        "sccr.service": {"level": "INFO"},
        "gunicorn.error": {"level": "WARNING", "handlers": [], "propagate": True},
        "gunicorn.access": {"level": "WARNING", "handlers": [], "propagate": True},
    },
}
