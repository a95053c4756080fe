"""A table of parts that is to be imported: what it says, what is wrong with it, and what it would change."""

from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sccr.errors import Problem
from sccr.schema.catalogue import Catalogue
from sccr.schema.digest import canonical_part
from sccr.schema.exchange import RowProblem
from sccr.schema.exchange import import_table
from sccr.schema.problems import pointer

from .answers import JSON
from .problems import MOST_ERRORS
from .problems import counted
from .rated import read_object
from .refusals import Refusal
from .store import ReadPut
from .store import Store
from .store import puts_of
from .store.canonical import digest_of_text


@dataclass(frozen=True, slots=True)
class Imported:
    """The parts of a table, how many rows it has, and everything that is wrong with it; or the catalogue that it is."""

    parts: Sequence[Mapping[str, Any]]
    rows: int
    problems: Sequence[RowProblem]
    catalogue: Catalogue | None

    def puts(self) -> tuple[ReadPut, ...]:
        """Return what puts the parts into the store. Raises Refusal (422) with everything that is wrong with them."""
        if self.catalogue is None:
            errors = [_located(problem) for problem in self.problems[:MOST_ERRORS]]
            detail = f"{counted(len(self.problems))}; nothing was imported."
            raise Refusal("invalid-table", detail, errors=errors)
        return puts_of(self.parts, self.catalogue)


@dataclass(frozen=True, slots=True)
class Changes:
    """What an import does to the catalogue: how many parts are new, others now, as they were; and those that go."""

    added: int
    changed: int
    unchanged: int
    removed: Sequence[str]

    def counts(self) -> dict[str, int]:
        """Return how many there are of each."""
        counted = {"added": self.added, "changed": self.changed, "unchanged": self.unchanged}
        return {**counted, "removed": len(self.removed)}


def read_parts(body: bytes, media_type: str) -> Imported:
    """Return what a file says: CSV, XLSX, or a catalogue in JSON.

    What is wrong with a table is in `problems`; JSON that is no catalogue raises MalformedJson or InvalidDocument.
    """
    if media_type != JSON:
        table = import_table(body, media_type)
        return Imported(table.parts, table.rows, table.problems, table.catalogue)
    document = read_object(body)
    catalogue = Catalogue.from_document(document)
    return Imported(document["parts"], len(catalogue.parts), (), catalogue)


def digests_of(parts: Sequence[Mapping[str, Any]]) -> dict[str, str]:
    """Return the digest of each part, by its number; of parts that were read without a fault."""
    return {part["part"]: digest_of_text(canonical_part(part)) for part in parts}


def changes_between(store: Store, digests: Mapping[str, str], *, replace: bool) -> Changes:
    """Return what parts of these digests change in the newest catalogue; with `replace`, all others go."""
    newest = store.catalogue_version()
    present = {} if newest is None else store.part_digests(newest.number)
    added = sum(part not in present for part in digests)
    unchanged = sum(present.get(part) == digest for part, digest in digests.items())
    removed = [part for part in present if part not in digests] if replace else []
    return Changes(added, len(digests) - added - unchanged, unchanged, removed)


def _located(problem: RowProblem) -> Problem:
    """Return a problem of a table with a pointer of its line and column."""
    place = (problem.line,) if problem.column is None else (problem.line, problem.column)
    return Problem(pointer(place), problem.code, problem.detail)
