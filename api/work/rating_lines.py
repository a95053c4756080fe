"""One line of a batch: rated, or told what is wrong with it as a request of its own would be."""

import logging
from collections.abc import Iterable
from typing import Any
from typing import Final

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.errors import Problem

from ..answers import as_json
from ..operations import rate_in_time
from ..problem_types import PROBLEM_TYPES
from ..problem_types import ProblemType
from ..problem_types import problem_members
from ..problems import MOST_ERRORS
from ..problems import counted
from ..rated import read_object
from ..refusals import Refusal
from ..service import service
from ..store import ClaimedLine
from ..store import FinishedLine
from ..store import NewRecord
from ..store import Unavailable
from .options import Options

_LOG: Final = logging.getLogger("sccr.service")
#: So many workers may end on a line; then it is told so, and lent to no other.
_ATTEMPTS: Final = 3


def finished(claimed: ClaimedLine) -> FinishedLine:
    """Return what becomes of a line; within the context of the application.

    Raises Unavailable where the database does not answer: then nothing is known of the line.
    """
    if claimed.attempt > _ATTEMPTS:
        return _given_up(claimed)
    try:
        return _rated(claimed)
    except Unavailable:
        raise
    except MalformedJson as error:
        found = [Problem("", "malformed-json", str(error))]
        return _failed(claimed, "malformed-json", f"The line cannot be read: {error}.", found)
    except InvalidDocument as error:
        detail = f"{counted(len(error.problems))}."
        return _failed(claimed, "invalid-document", detail, error.problems[:MOST_ERRORS])
    except Refusal as error:
        return _failed(claimed, error.kind, error.description or error.kind.description, error.errors)
    except Exception as error:
        return broken(claimed, error)


def broken(claimed: ClaimedLine, error: Exception) -> FinishedLine:
    """Return what becomes of a line on which the service fails, and log why."""
    place = {"request_id": Options.of(claimed.options).request_id, "batch": claimed.batch, "line": claimed.line}
    _LOG.error("line failed", exc_info=error, extra={"fields": place})
    return _failed(claimed, "internal-error", "The service failed on this line; the log holds the cause.")


def _given_up(claimed: ClaimedLine) -> FinishedLine:
    """Return what becomes of a line from which no worker came back: it is not tried again, and is logged."""
    place = {"request_id": Options.of(claimed.options).request_id, "batch": claimed.batch, "line": claimed.line}
    _LOG.error("line given up", extra={"fields": {**place, "attempts": claimed.attempt - 1}})
    told = (
        f"This line ended the process that rated it, {claimed.attempt - 1} times, as one does that takes more memory "
        "than there is. It is not tried again."
    )
    return _failed(claimed, "line-given-up", told)


def _rated(claimed: ClaimedLine) -> FinishedLine:
    options, store = Options.of(claimed.options), service().store
    most = service().settings.max_body_bytes
    if len(claimed.input) > most:
        raise Refusal("body-too-large", f"The line is longer than {most} bytes, which is the most that is read.")
    document = read_object(claimed.input)
    version = options.catalogue_version
    catalogue = None if version is None else store.catalogue_for(document, version)
    result = rate_in_time(document, catalogue).as_dict()
    told: dict[str, Any] = {"line": claimed.line, "status": 200, "result": result}
    record = None
    if options.record:
        told["record"] = store.new_id()
        record = NewRecord(document, result, options.asked_by, version, id=told["record"])
    return FinishedLine(claimed.batch, claimed.line, _text(told), failed=False, record=record)


def _failed(claimed: ClaimedLine, kind: str | ProblemType, detail: str, errors: Iterable[Problem] = ()) -> FinishedLine:
    kind = PROBLEM_TYPES[kind] if isinstance(kind, str) else kind
    place = f"/v1/batches/{claimed.batch}/results?after={claimed.line - 1}&limit=1"
    problem = problem_members(kind, detail, place, Options.of(claimed.options).request_id, errors)
    text = _text({"line": claimed.line, "status": kind.status, "problem": problem})
    return FinishedLine(claimed.batch, claimed.line, text, failed=True)


def _text(told: dict[str, Any]) -> str:
    return as_json(told).get_data(as_text=True)
