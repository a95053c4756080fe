"""What the store refuses, as problems."""

import logging
from typing import Final

from flask import Flask
from flask import Response

from .problem_types import PROBLEM_TYPES
from .problems import problem
from .requests import request_id
from .store import Conflict
from .store import Exists
from .store import NotFound
from .store import NotStorable
from .store import Unavailable

_LOG: Final = logging.getLogger("sccr.service")
_RETRY_SECONDS: Final = 2


def answer_store_errors(app: Flask) -> None:
    """Answer the errors of the store with problems."""
    app.register_error_handler(Conflict, _changed)
    app.register_error_handler(Exists, _changed)
    app.register_error_handler(NotFound, _missing)
    app.register_error_handler(NotStorable, _missing)
    app.register_error_handler(Unavailable, _unavailable)


def _changed(error: Conflict | Exists) -> Response:
    return problem(PROBLEM_TYPES["precondition-failed"], _sentence(error))


def _missing(error: NotFound | NotStorable) -> Response:
    return problem(PROBLEM_TYPES["not-found"], _sentence(error))


def _unavailable(error: Unavailable) -> Response:
    _LOG.error("store unavailable", exc_info=error, extra={"fields": {"request_id": request_id()}})
    detail = "The database does not answer, or is busy. Nothing was kept."
    response = problem(PROBLEM_TYPES["store-unavailable"], detail)
    response.headers["Retry-After"] = str(_RETRY_SECONDS)
    return response


def _sentence(error: Exception) -> str:
    told = str(error)
    return f"{told[:1].upper()}{told[1:]}."
