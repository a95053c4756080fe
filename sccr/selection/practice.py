"""What a choice follows beside the circuit: the words, clauses and standards of an edition, from `practice.csv`."""

import csv
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

USUAL: Final = "UL 508A"
_FROM_MEMORY: Final = " [clause from memory]"


@dataclass(frozen=True)
class Practice:
    """The practice of one standard.

    words: what things are called; clauses: by check; standards: those of which a device of a kind must have one to
    protect a branch; categories: of fuses, with what each protects against. `digest` is of the whole table.
    """

    standard: str
    words: Mapping[str, str]
    clauses: Mapping[str, str]
    standards: Mapping[str, tuple[str, ...]]
    categories: Mapping[str, str]
    digest: str

    def accepts(self, kind: str, stated: tuple[str, ...]) -> bool:
        """Return whether a device of a kind is to one of the standards, a part or an edition of it among them."""
        plain = [" ".join(each.casefold().split()) for each in stated]
        wanted = [each.casefold() for each in self.standards.get(kind, ())]
        return any(_is_of(each, standard) for each in plain for standard in wanted)


def _is_of(stated: str, standard: str) -> bool:
    """Whether a standard is another, or a part or an edition of it: 'IEC 60269-2:2013' is of 'IEC 60269'."""
    rest = stated.removeprefix(standard)
    return rest != stated and not rest[:1].isdigit()


def practice(edition: str) -> Practice:
    """Return the practice of an edition; of one that no table knows, that of UL 508A."""
    standard, _, _ = edition.rpartition(":")
    known = _practices()
    return known.get(standard, known[USUAL])


@cache
def _practices() -> dict[str, Practice]:
    text = resources.files("sccr.selection").joinpath("practice.csv").read_text(encoding="utf-8")
    digest = hashlib.sha256(text.encode()).hexdigest()
    rows = list(csv.DictReader(text.splitlines()))
    return {name: _practice(name, [row for row in rows if row["standard"] == name], digest) for name in _names(rows)}


def _names(rows: list[dict[str, str]]) -> list[str]:
    return list(dict.fromkeys(row["standard"] for row in rows))


def _practice(name: str, rows: list[dict[str, str]], digest: str) -> Practice:
    of: dict[str, list[dict[str, str]]] = {}
    for row in rows:
        of.setdefault(row["subject"], []).append(row)
    standards: dict[str, tuple[str, ...]] = {}
    for row in of.get("standard", ()):
        standards[row["name"]] = (*standards.get(row["name"], ()), row["text"])
    return Practice(
        standard=name,
        words={row["name"]: row["text"] for row in of["word"]},
        clauses={row["name"]: f"{row['text']}{_mark(row)}" for row in of["clause"]},
        standards=standards,
        categories={row["name"]: row["text"] for row in of.get("category", ())},
        digest=digest,
    )


def _mark(row: Mapping[str, str]) -> str:
    return _FROM_MEMORY if row["confidence"] == "memory" else ""
