"""The log as lines of JSON, one for each event, on the standard error."""

import json
import logging
from datetime import UTC
from datetime import datetime
from typing import Any
from typing import Final


class JsonLines(logging.Formatter):
    """A formatter that writes a record as one object of JSON, with whatever `extra={"fields": …}` adds to it."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line of a record; a traceback is a string in it."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": record.process,
            "message": record.getMessage(),
            **getattr(record, "fields", {}),
        }
        if record.exc_info:
            line["traceback"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=True, default=str)


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
