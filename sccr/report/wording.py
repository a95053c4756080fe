"""The words of a report that follow the standard: read once from `wording.csv`, each with its source."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final
from typing import NamedTuple

from sccr.rated_current import RatedCurrent
from sccr.rated_current import duration_text
from sccr.result import Rating
from sccr.units import current_text

_USUAL: Final = "UL 508A"
_FROM_MEMORY: Final = "clause from memory"


class Clause(NamedTuple):
    """A clause that a rating rests on: what it says in our own words, its source, and whether it is from memory.

    rule: that of the method which cites it.
    """

    rule: str
    clause: str
    title: str
    gist: str
    source: str
    known: str


@dataclass(frozen=True, slots=True)
class Wording:
    """The words for the ratings of one standard: one text for a name, or several."""

    texts: Mapping[str, tuple[str, ...]]

    def of(self, name: str) -> str:
        """Return the text for a name, empty where there is none."""
        return next(iter(self.texts.get(name, ())), "")

    def all_of(self, name: str) -> tuple[str, ...]:
        """Return every text for a name."""
        return self.texts.get(name, ())

    @property
    def clause_width(self) -> float:
        """Return how many times as wide a column of clauses is as it is for UL 508A."""
        return float(self.of("clause_width"))

    def rated_current(self, rating: RatedCurrent) -> tuple[tuple[str, str], ...]:
        """Return what a rating consists of, named, where the standard has symbols for it; else nothing."""
        if not rating.designation:
            return ()
        stated = (
            (self.of(rating.designation), current_text(rating.current)),
            (self.of("duration"), "" if rating.duration is None else duration_text(rating.duration)),
            (self.of("peak"), "" if rating.peak is None else current_text(rating.peak)),
            (self.of("voltage"), rating.voltage),
        )
        return tuple((name, text) for name, text in stated if text)

    def clauses(self, rating: Rating) -> tuple[Clause, ...]:
        """Return the clauses that the derivation cites, in the order of the method, where the method lists them."""
        folder = self.of("clauses")
        if not folder:
            return ()
        cited: dict[str, set[str]] = {}
        for step in rating.derivation:
            cited.setdefault(step.clause, set()).add(step.statement.partition(":")[0])
        return tuple(clause for clause in _clauses(folder) if _applied(clause, cited.get(clause.clause), folder))


def wording(rating: Rating) -> Wording:
    """Return the words for the edition that a rating is by; of one that no table knows, those of UL 508A."""
    standard, _, _ = rating.method.edition.rpartition(":")
    known = _wordings()
    return known.get(standard, known[_USUAL])


@cache
def _wordings() -> dict[str, Wording]:
    text = resources.files("sccr.report").joinpath("wording.csv").read_text(encoding="utf-8")
    found: dict[str, dict[str, tuple[str, ...]]] = {}
    for row in csv.DictReader(text.splitlines()):
        texts = found.setdefault(row["standard"], {})
        texts[row["name"]] = (*texts.get(row["name"], ()), row["text"])
    return {standard: Wording(texts) for standard, texts in found.items()}


@cache
def _clauses(folder: str) -> tuple[Clause, ...]:
    """Return the clauses of a method, those that several of its rules cite once for each."""
    text = resources.files(folder).joinpath("clauses.csv").read_text(encoding="utf-8")
    return tuple(
        Clause(
            row["rule"],
            row["clause"],
            row["title"],
            row["gist"],
            row["source"],
            _FROM_MEMORY if row["confidence"] == "memory" else "",
        )
        for row in csv.DictReader(text.splitlines())
    )


def _applied(clause: Clause, rules: set[str] | None, folder: str) -> bool:
    """Return whether a rule was applied: of those that cite one clause, the one that a statement begins with."""
    if rules is None:
        return False
    told = rules & {each.rule for each in _clauses(folder)}
    return not told or clause.rule in told
