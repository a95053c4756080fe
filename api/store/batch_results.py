"""The results of batches, in the order in which the lines were sent."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sqlalchemy import ColumnElement
from sqlalchemy import Connection
from sqlalchemy import func
from sqlalchemy import or_
from sqlalchemy import select
from sqlalchemy import tuple_

from . import tables
from .batch_work import BatchWork
from .batches import ENDED
from .errors import NotFound
from .pages import Page
from .pages import page_of

#: Results that are read at once are no longer than this together [characters], or are one.
_MOST: Final = 2**20


@dataclass(frozen=True, slots=True)
class BatchResult:
    """What became of a line: one line of JSON, and whether it failed."""

    line: int
    result: str
    failed: bool


@dataclass(frozen=True, slots=True)
class PlacedResult:
    """What became of a line, where the results have an order of their own: its place there, its line, and the text."""

    place: int
    line: int
    result: str


class BatchResults(BatchWork):
    """The part of the store that gives the results of batches."""

    def results(self, batch_id: str, after_line: int = 0, limit: int = 1000) -> tuple[BatchResult, ...]:
        """Return some results after that line, in the order of the lines: up to `limit`, and no more of them than a
        process should hold in memory, but one at least where there is one. Raises NotFound.

        While the batch is under way they end before the first line that is not finished, so that whoever reads on from
        the last one misses none; of a batch that has ended before its time, what is finished.
        """
        items = tables.batch_items.c
        with self._reading() as connection:
            state = connection.execute(select(tables.batches.c.state).where(tables.batches.c.id == batch_id)).scalar()
            if state is None:
                raise NotFound(f"there is no batch {batch_id!r}")
            wanted = [items.batch_id == batch_id, items.line > after_line, items.result.is_not(None)]
            if state not in ENDED:
                unfinished = select(func.min(items.line)).where(items.batch_id == batch_id, items.result.is_(None))
                first = connection.execute(unfinished).scalar()
                if first is not None:
                    wanted.append(items.line < first)
            last = _last_together(connection, wanted, limit)
            query = select(items.line, items.result, items.failed).where(*wanted, items.line <= last)
            return tuple(BatchResult(*row) for row in connection.execute(query.order_by(items.line)))

    def placed_results(
        self,
        batch_id: str,
        after: tuple[int, int] | None = None,
        limit: int = 50,
        among: Sequence[tuple[int, int]] = (),
    ) -> Page[PlacedResult]:
        """Return results in the order of their places, those of one place by their lines, after a place and line.

        Results without a place are left out. among: only those of places within one of these bounds, the second of
        which is the first place beyond. While the batch is under way, there are those that it has so far.
        """
        items = tables.batch_items.c
        query = select(items.place, items.line, items.result).where(*_placed(batch_id))
        if after is not None:
            query = query.where(tuple_(items.place, items.line) > tuple_(*after))
        if among:
            query = query.where(or_(*((items.place >= first) & (items.place < beyond) for first, beyond in among)))
        with self._reading() as connection:
            rows = connection.execute(query.order_by(items.place, items.line).limit(limit + 1)).all()
        return page_of([PlacedResult(*row) for row in rows], limit, lambda each: f"{each.place}-{each.line}")

    def placed_counts(self, batch_id: str, spread: int) -> dict[int, int]:
        """Return how many results have their place in each class of so many places."""
        items = tables.batch_items.c
        classes = select((items.place // spread).label("class_")).where(*_placed(batch_id)).subquery()
        query = select(classes.c.class_, func.count()).group_by(classes.c.class_)
        with self._reading() as connection:
            return {int(number): count for number, count in connection.execute(query)}


def _placed(batch_id: str) -> tuple[ColumnElement[bool], ...]:
    return tables.batch_items.c.batch_id == batch_id, tables.batch_items.c.place.is_not(None)


def _last_together(connection: Connection, wanted: Sequence[ColumnElement[bool]], limit: int) -> int:
    """Return the last line of those that are read at once, by the length of their results; 0 where there is none."""
    items = tables.batch_items.c
    sizes = select(items.line, func.length(items.result)).where(*wanted).order_by(items.line).limit(limit)
    size = last = 0
    for line, length in connection.execute(sizes):
        size += length
        if last and size > _MOST:
            break
        last = line
    return last
