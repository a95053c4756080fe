"""`python -m tests.mutation [rules] [tables]`: changes made on purpose, how many no test notices, and why those may be.

The extra `mutation` brings mutmut, which changes the rules. Both together take an hour or two. The exit status is 1
where fewer than 95 % are noticed, or where one that is not has no explanation in `explained.csv`.
"""

import csv
import sys
from collections.abc import Container
from pathlib import Path
from typing import NamedTuple

from rich.console import Console
from rich.table import Table

from tests.mutation import rules
from tests.mutation import tables

EXPLAINED = Path(__file__).with_name("explained.csv")
#: Of a hundred changes so many are to be noticed.
LEAST = 95


def explanations() -> dict[tuple[str, str], str]:
    """Return why a change need not be noticed, by where it is and what it makes."""
    with EXPLAINED.open(newline="", encoding="utf-8") as lines:
        return {(row["where"], row["changed_to"]): row["why"] for row in csv.DictReader(lines)}


class Found(NamedTuple):
    """How many changes were made, how many no test noticed, and those of them that are not explained."""

    made: int
    left: int
    open: list[tuple[str, str]]


def found(what: str) -> Found:
    """Return what became of the changes of the rules or of the tables."""
    known = explanations()
    made, left = _found(what, known)
    return Found(made, len(left), [each for each in left if each not in known])


def _found(what: str, known: Container[tuple[str, str]]) -> tuple[int, list[tuple[str, str]]]:
    """Return how many changes were made, and where those are that no test noticed, with what they make."""
    if what == "rules":
        made, left = rules.survivors(known)
        return made, [(each.name, each.after) for each in left]
    made, told = tables.survivors()
    return made, [(where, to) for where, _, to in (each.rpartition(" -> ") for each in told)]


def main(names: list[str]) -> int:
    """Print the figures, and every change that is not explained."""
    console, wrong = Console(), 0
    table = Table("what", "changes", "noticed", "%", "explained", "not explained")
    for what in names or ["rules", "tables"]:
        made, left, open_ = found(what)
        percent = 100 * (made - left) / made
        wrong += bool(open_) or percent < LEAST
        counts = (made, made - left, f"{percent:.1f}", left - len(open_), len(open_))
        table.add_row(what, *map(str, counts))
        for where, to in open_:
            console.print(f"not noticed: {where} -> {to}", markup=False)
    console.print(table)
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
