"""Every error as a problem (RFC 9457), whoever raised it."""

import logging
from collections.abc import Iterable
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Flask
from flask import Response
from flask import g
from flask import request
from werkzeug.exceptions import HTTPException
from werkzeug.exceptions import NotFound

from sccr import InvalidDocument
from sccr import MalformedJson
from sccr.errors import Problem

from .access import public
from .addresses import path_sent
from .answers import PROBLEM_JSON
from .answers import as_fixed
from .answers import as_json
from .problem_types import MOST_ERRORS as MOST_ERRORS
from .problem_types import PROBLEM_TYPES
from .problem_types import ProblemType
from .problem_types import counted as counted
from .problem_types import problem_members
from .problem_types import problem_type
from .refusals import Refusal
from .requests import request_id

_LOG: Final = logging.getLogger("sccr.service")

_KEPT_HEADERS: Final = ("Allow", "Retry-After", "WWW-Authenticate")

blueprint = Blueprint("problems", __name__)


@blueprint.get("/problems/<slug>")
@public
def problem_page(slug: str) -> Response:
    """Return the page that the `type` of a problem leads to."""
    if slug not in PROBLEM_TYPES:
        raise NotFound(f"No problem has this name; there are {', '.join(PROBLEM_TYPES)}.")
    return as_fixed(as_json(PROBLEM_TYPES[slug].as_dict()))


def answer_errors(app: Flask) -> None:
    """Answer every error of the application with a problem."""
    app.register_error_handler(MalformedJson, _malformed)
    app.register_error_handler(InvalidDocument, _invalid)
    app.register_error_handler(HTTPException, _refused)
    app.register_error_handler(Exception, _failed)


def problem(
    kind: ProblemType, detail: str, errors: Iterable[Problem] = (), more: Mapping[str, Any] | None = None
) -> Response:
    """Return a problem of a kind, with everything that is wrong in `errors` and members of its own in `more`."""
    g.problem = kind.slug or "unnamed"  # for the metrics
    members = problem_members(kind, detail, path_sent(), request_id(), errors)
    response = as_json({**members, **(more or {})}, kind.status, PROBLEM_JSON)
    response.headers["Cache-Control"] = "no-store"
    return response


def _malformed(error: MalformedJson) -> Response:
    found = Problem("", "malformed-json", str(error))
    return problem(PROBLEM_TYPES["malformed-json"], f"The body cannot be read: {error}.", [found])


def _invalid(error: InvalidDocument) -> Response:
    detail = f"{counted(len(error.problems))}."
    return problem(PROBLEM_TYPES["invalid-document"], detail, error.problems[:MOST_ERRORS])


def _refused(error: HTTPException) -> Response:
    kind = error.kind if isinstance(error, Refusal) else problem_type(error.code or HTTPStatus.INTERNAL_SERVER_ERROR)
    own = error.description != type(error).description  # else it is werkzeug's, which talks to readers of pages
    errors = error.errors if isinstance(error, Refusal) else ()
    response = problem(kind, error.description if own and error.description else kind.description, errors)
    for name, value in error.get_headers(request.environ):
        if name in _KEPT_HEADERS:
            response.headers[name] = value
    return response


def _failed(error: Exception) -> Response:
    _LOG.error("failed", exc_info=error, extra={"fields": {"request_id": request_id()}})
    return problem(PROBLEM_TYPES["internal-error"], "The service failed on this request; the log holds the cause.")
