"""The results of batches, in the order in which the lines were sent."""

from dataclasses import dataclass

from sqlalchemy import func
from sqlalchemy import select

from . import tables
from .batch_work import BatchWork
from .batches import ENDED
from .errors import NotFound


@dataclass(frozen=True, slots=True)
class BatchResult:
    """What became of a line: one line of JSON, and whether it failed."""

    line: int
    result: str
    failed: bool


class BatchResults(BatchWork):
    """The part of the store that gives the results of batches."""

    def results(self, batch_id: str, after_line: int = 0, limit: int = 1000) -> tuple[BatchResult, ...]:
        """Return the results after that line, in the order of the lines. Raises NotFound.

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
            query = select(items.line, items.result, items.failed).where(*wanted).order_by(items.line).limit(limit)
            return tuple(BatchResult(*row) for row in connection.execute(query))
