"""A table of parts that is to be imported: what it says, what is wrong with it, and what it would change."""

from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sccr.errors import Problem
from sccr.schema.catalogue import Catalogue
from sccr.schema.exchange import RowProblem
from sccr.schema.exchange import import_table
from sccr.schema.problems import pointer

from .answers import JSON
from .problems import MOST_ERRORS
from .problems import counted
from .rated import read_object
from .refusals import Refusal
from .store import Delete
from .store import Put
from .store import Store
from .store.canonical import canonical
from .store.canonical import digest_of_text


@dataclass(frozen=True, slots=True)
class Imported:
    """The parts of a table, how many rows it has, and everything that is wrong with it."""

    parts: Sequence[Mapping[str, Any]]
    rows: int
    problems: Sequence[RowProblem]

    def require_right(self) -> None:
        """Raise Refusal (422) with everything that is wrong with the table."""
        if self.problems:
            errors = [_located(problem) for problem in self.problems[:MOST_ERRORS]]
            detail = f"{counted(len(self.problems))}; nothing was imported."
            raise Refusal("invalid-table", detail, errors=errors)


@dataclass(frozen=True, slots=True)
class Changes:
    """What an import does to the catalogue: parts that are new, others that change, and those that go."""

    added: Sequence[Mapping[str, Any]]
    changed: Sequence[tuple[Mapping[str, Any], str]]
    removed: Sequence[str]
    unchanged: int

    def counts(self) -> dict[str, int]:
        """Return how many there are of each."""
        return {
            "added": len(self.added),
            "changed": len(self.changed),
            "removed": len(self.removed),
            "unchanged": self.unchanged,
        }

    def listed(self) -> list[Put | Delete]:
        """Return them as the store takes them."""
        new = [Put(part, create_only=True) for part in self.added]
        changed = [Put(part, etag) for part, etag in self.changed]
        return [*new, *changed, *(Delete(part) for part in self.removed)]


def read_parts(body: bytes, media_type: str) -> Imported:
    """Return what a file says: CSV, XLSX, or a catalogue in JSON.

    What is wrong with a table is in `problems`; JSON that is no catalogue raises MalformedJson or InvalidDocument.
    """
    if media_type != JSON:
        table = import_table(body, media_type)
        return Imported(table.parts, table.rows, table.problems)
    document = read_object(body)
    parts = Catalogue.from_document(document).parts
    return Imported(document["parts"], len(parts), ())


def changes_between(store: Store, parts: Sequence[Mapping[str, Any]], *, replace: bool) -> Changes:
    """Return what parts change in the newest catalogue; with `replace`, whatever is not among them goes."""
    newest = store.catalogue_version()
    present = {} if newest is None else store.part_digests(newest.number)
    digests = {part["part"]: digest_of_text(canonical(part)) for part in parts}
    added = [part for part in parts if part["part"] not in present]
    changed = [
        (part, present[part["part"]])
        for part in parts
        if part["part"] in present and present[part["part"]] != digests[part["part"]]
    ]
    removed = [part for part in present if part not in digests] if replace else []
    return Changes(added, changed, removed, len(parts) - len(added) - len(changed))


def _located(problem: RowProblem) -> Problem:
    """Return a problem of a table with a pointer of its line and column."""
    place = (problem.line,) if problem.column is None else (problem.line, problem.column)
    return Problem(pointer(place), problem.code, problem.detail)
