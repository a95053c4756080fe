"""What has become of one of many documents."""

import json
from dataclasses import dataclass
from typing import Any

from sccr.errors import Problem
from sccr.result import Rating


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a document has no rating.

    code: "malformed-json", "invalid-document", "line-too-long", "out-of-time", "line-given-up" or "internal-error".
    problems: everything that is wrong with it, each at its JSON Pointer. cause: of an internal error the traceback.
    """

    code: str
    detail: str
    problems: tuple[Problem, ...] = ()
    cause: str | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What has become of a document: its rating, or why it has none.

    line: its place, counted from 1. status: "rated", "withheld" or "refused". text: the JSON of its rating, the names
    of each object sorted; None where it was refused. refused: why.

    adequate: whether the rating covers the current available at every supply; None where none is known.
    limiting_kinds: the kinds of what limits it, as `limiting_kinds` gives them. seconds: how long it took [s].

    The rating comes as text, since a `Rating` takes a process as long to send as to make.
    """

    line: int
    status: str
    text: bytes | None = None
    refused: Refused | None = None
    adequate: bool | None = None
    limiting_kinds: tuple[str, ...] = ()
    seconds: float = 0.0

    @property
    def result(self) -> dict[str, Any] | None:
        """Return what `Rating.as_dict()` gives, None where the document was refused."""
        if self.text is None:
            return None
        result: dict[str, Any] = json.loads(self.text)
        return result

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Return everything that is wrong with the document."""
        return () if self.refused is None else self.refused.problems


def covers_available(rating: Rating) -> bool | None:
    """Return whether a rating covers the current available at every supply; None where none is known."""
    supplies = rating.adequacy.supplies
    return all(each.adequate for each in supplies) if supplies else None


def limiting_kinds(rating: Rating) -> tuple[str, ...]:
    """Return the kinds of what limits a rating, each once, sorted; "other" is what is no component of the panel."""
    kinds = {component.id: component.kind for component in rating.components}
    return tuple(sorted({kinds.get(limit.component, "other") for limit in rating.limited_by}))
