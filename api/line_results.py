"""What has become of a panel on a line of NDJSON, as a line of JSON: of a batch, or of `sccr rate --many`.

Equal outcomes give the same bytes: the names of each object are sorted.
"""

import json
from collections.abc import Iterable
from typing import Any
from typing import Final

from sccr.errors import Problem
from sccr.many import Outcome
from sccr.many import Refused

from .problem_types import MOST_ERRORS
from .problem_types import PROBLEM_TYPES
from .problem_types import ProblemType
from .problem_types import counted

#: The kinds of problem of what is called otherwise where no request is.
_KINDS: Final = {"line-too-long": "body-too-large"}


def rated_line(line: int, text: bytes, record: str | None = None) -> bytes:
    """Return the line of a rating, given as JSON; record: under which id it is kept, if it is."""
    kept = b"" if record is None else b'"record":%b,' % json.dumps(record).encode()
    return b'{"line":%d,%b"result":%b,"status":200}' % (line, kept, text)


def refused_line(line: int, kind: ProblemType, detail: str, errors: Iterable[Problem] = (), **more: Any) -> bytes:
    """Return the line of a panel without a rating, with the problem (RFC 9457); `more`: members of its own."""
    problem = {
        "type": kind.uri,
        "title": kind.title,
        "status": kind.status,
        "detail": detail,
        "errors": [error.as_dict() for error in errors],
        **more,
    }
    told = {"line": line, "status": kind.status, "problem": problem}
    text = json.dumps(told, ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=True)
    # Half a surrogate pair, which a refusal may have to repeat, becomes its own escape in JSON.
    return text.encode("utf-8", "backslashreplace")


def line_of(outcome: Outcome) -> bytes:
    """Return the line of what has become of a panel, where no service has rated it."""
    if outcome.refused is None:
        assert outcome.text is not None  # it has a rating
        return rated_line(outcome.line, outcome.text)
    kind, detail, errors = told_of(outcome.refused)
    return refused_line(outcome.line, kind, detail, errors)


def told_of(refused: Refused) -> tuple[ProblemType, str, tuple[Problem, ...]]:
    """Return the kind of problem that a refusal is, what is told of it, and the errors that are listed."""
    kind = PROBLEM_TYPES[_KINDS.get(refused.code, refused.code)]
    detail = f"{refused.detail[:1].upper()}{refused.detail[1:]}."
    if refused.code == "malformed-json":
        detail = f"The line cannot be read: {refused.detail}."
    elif refused.code == "invalid-document":
        detail = f"{counted(len(refused.problems))}."
    return kind, detail, refused.problems[:MOST_ERRORS]
