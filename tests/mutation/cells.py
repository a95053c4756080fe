"""The changes made in a table: each cell a little more, a little less or another word, and each row left out."""

import csv
import io
from collections.abc import Iterator
from decimal import Decimal
from decimal import InvalidOperation
from itertools import islice
from typing import NamedTuple

#: Columns that no rule reads.
WORDS_ONLY = frozenset({"source", "confidence", "note", "unit", "title", "gist", "condition"})
_FLAGS = {"yes": "no", "no": "yes"}


class Mutant(NamedTuple):
    """A changed table: what was changed, and its text."""

    told: str
    text: str


def mutants(name: str, text: str) -> Iterator[Mutant]:
    """Yield every change of a table in CSV."""
    head, *rows = list(csv.reader(io.StringIO(text)))
    for number, row in enumerate(rows):
        where = f"{name}:{number + 2}"
        yield Mutant(f"{where} left out", written([head, *rows[:number], *rows[number + 1 :]]))
        for place, column in enumerate(head):
            if column in WORDS_ONLY:
                continue
            for other in others(row[place], [each[place] for each in rows]):
                changed = [*row[:place], other, *row[place + 1 :]]
                told = f"{where} {column} {row[place]!r} -> {other!r}"
                yield Mutant(told, written([head, *rows[:number], changed, *rows[number + 1 :]]))


def others(cell: str, column: list[str]) -> Iterator[str]:
    """Yield what a cell is changed to: one more and one less in its last place, the other flag, or another word.

    A number is put nowhere where there is none: the rows of a table of limits read only the limits that they have.
    """
    if cell in _FLAGS:
        yield _FLAGS[cell]
        return
    value = _number(cell)
    if value is None:
        words = (each for each in column if each not in (cell, "") and each not in _FLAGS and _number(each) is None)
        yield from islice(words, 1)
        return
    step = Decimal(1).scaleb(int(value.as_tuple().exponent))
    yield f"{value + step:f}"
    if value - step > 0:
        yield f"{value - step:f}"


def _number(cell: str) -> Decimal | None:
    try:
        return Decimal(cell)
    except InvalidOperation:
        return None


def written(rows: list[list[str]]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()
