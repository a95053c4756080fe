"""What can go wrong with a document.

* SccrError
  + MalformedJson        the text is not JSON, or not the JSON that is taken here
  + InvalidDocument      the document cannot be used; carries every problem, each with its JSON Pointer
  + UnknownEdition       the rule set asked for is not implemented
  + OutOfTime            a rating was stopped, since it took too long
  + NotRated             many documents cannot be rated where they were to be, through no fault of theirs
    - WorkerLost           what was sent to a process ended it, again and again
    - NoWorkers            there is nobody who rates: processes that do not start, a cluster that does not answer
"""

from collections.abc import Iterable
from dataclasses import dataclass

#: How many problems the text of an InvalidDocument names.
NAMED_PROBLEMS = 20


class SccrError(Exception):
    """Base of every error that this package raises on purpose."""


class MalformedJson(SccrError):
    """The text is not JSON, or not the JSON that is taken here. `line` and `column`, where known, count from 1."""

    def __init__(self, detail: str, line: int | None = None, column: int | None = None) -> None:
        self.detail = detail
        self.line = line
        self.column = column
        place = "" if line is None else f" (line {line}, column {column})"
        super().__init__(f"{detail}{place}")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a document: where (RFC 6901 JSON Pointer), what (a stable code), and the remedy."""

    pointer: str
    code: str
    detail: str

    def as_dict(self) -> dict[str, str]:
        """Return the problem as a mapping for an answer in JSON."""
        return {"pointer": self.pointer, "code": self.code, "detail": self.detail}


class InvalidDocument(SccrError):
    """The document cannot be used. `problems` holds all that is wrong with it; its text names the first few."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        named = [f"{p.pointer or '(document)'}: {p.detail}" for p in self.problems[:NAMED_PROBLEMS]]
        more = len(self.problems) - len(named)
        super().__init__("; ".join(named) + (f"; and {more} more" if more else ""))


class UnknownEdition(SccrError):
    """The edition asked for has no rule set here. `known` lists those that have."""

    def __init__(self, edition: str, known: Iterable[str]) -> None:
        self.edition = edition
        self.known = tuple(known)
        super().__init__(f"edition {edition!r} is not implemented; use one of: {', '.join(self.known)}")


class OutOfTime(SccrError):
    """A rating took longer than it was given, and was stopped. `seconds`: how long that is [s]."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        super().__init__(f"it was not done in {seconds:g} s, and was stopped")


class NotRated(SccrError):
    """Many documents cannot be rated where they were to be, through no fault of theirs."""


class WorkerLost(NotRated):
    """What was sent to a process ended it, so often that it is not tried again."""


class NoWorkers(NotRated):
    """There is nobody who rates."""
