"""The work on batches: lines are lent to workers for a while, and each is finished once."""

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from typing import Final

from sqlalchemy import ColumnElement
from sqlalchemy import Connection
from sqlalchemy import func
from sqlalchemy import or_
from sqlalchemy import select
from sqlalchemy import tuple_

from . import tables
from .batches import Batch
from .batches import Batches
from .batches import change_batch
from .batches import locked_batch
from .records import NewRecord
from .times import stamp_after

#: No lease is this long [s], or so many times that of whoever asks: one that ends later was begun before the clock was
#: set back, and whoever held it may be dead.
_NO_LEASE: Final = 3600
_TIMES: Final = 10
#: The states of a batch whose lines are worked on.
_UNDER_WAY: Final = ("queued", "running")
#: What is lent at once is no more than this [bytes], or one line: a worker holds all of it in memory.
_MOST_BYTES: Final = 2**22

_ITEMS: Final = tables.batch_items.c
_BATCHES: Final = tables.batches.c


@dataclass(frozen=True, slots=True)
class ClaimedLine:
    """A line lent to a worker: the bytes as they were sent, and the kind and options of its batch.

    attempt: how often it was lent, this time included, to workers that did not hand it in.
    """

    batch: str
    line: int
    input: bytes
    options: dict[str, Any]
    attempt: int
    kind: str


@dataclass(frozen=True, slots=True)
class FinishedLine:
    """What became of a line: one line of JSON; whether it failed; and the record to keep with it, if any.

    place: where it stands among the results, if these have an order other than that of the lines.
    """

    batch: str
    line: int
    result: str
    failed: bool = False
    record: NewRecord | None = None
    place: int | None = None


@dataclass(frozen=True, slots=True)
class FinishedBatch:
    """Which of the lines were accepted, by batch and line, and which batches are done by that."""

    accepted: tuple[tuple[str, int], ...]
    ended: tuple[Batch, ...]


class BatchWork(Batches):
    """The part of the store that hands out the lines of batches and takes their results."""

    def claim_lines(self, worker: str, limit: int, lease_seconds: float = 60) -> tuple[ClaimedLine, ...]:
        """Lend lines to a worker, of the oldest batch first; after the lease they are lent to whoever asks.

        `worker` must name this worker and no other, not even the one that it was before a restart. A line that was lent
        in vain is lent alone: should it be the one that ends its worker, no other line is lost with it again.
        """
        now, until = self._now(), stamp_after(self._clock(), lease_seconds)
        never = stamp_after(self._clock(), max(_NO_LEASE, _TIMES * lease_seconds))
        free = or_(_ITEMS.claimed_until.is_(None), _ITEMS.claimed_until <= now, _ITEMS.claimed_until > never)
        query = (
            select(_ITEMS.batch_id, _ITEMS.line, _ITEMS.attempts, func.length(_ITEMS.input).label("size"))
            .join_from(tables.batch_items, tables.batches)
            .where(_BATCHES.state.in_(_UNDER_WAY), _ITEMS.result.is_(None), free)
            .order_by(_ITEMS.batch_id, _ITEMS.line)
            .limit(limit)
            .with_for_update(of=tables.batch_items, skip_locked=True)
        )
        claim = {"claimed_by": worker, "claimed_until": until, "attempts": _ITEMS.attempts + 1}
        with self._writing() as connection:
            rows = _together(connection.execute(query).all())
            if not rows:
                return ()
            lent = _among([(row.batch_id, row.line) for row in rows])
            connection.execute(tables.batch_items.update().where(lent).values(**claim))
            begun = _BATCHES.id.in_({row.batch_id for row in rows}) & (_BATCHES.state == "queued")
            connection.execute(tables.batches.update().where(begun).values(state="running"))
            return _lent(connection, lent)

    def return_lines(self, worker: str, lines: Sequence[ClaimedLine]) -> None:
        """Give lines back that were not begun: they are lent to whoever asks, as if they had not been lent."""
        if not lines:
            return
        among = _among([(line.batch, line.line) for line in lines])
        held = among & (_ITEMS.claimed_by == worker) & _ITEMS.result.is_(None)
        free = {"claimed_by": None, "claimed_until": None, "attempts": _ITEMS.attempts - 1}
        with self._writing() as connection:
            connection.execute(tables.batch_items.update().where(held).values(**free))

    def finish_lines(self, worker: str, finished: Sequence[FinishedLine]) -> FinishedBatch:
        """Keep the results, and the records with them, of those lines that are still lent to the worker.

        A line that was finished before, or was lent to another meanwhile, is not accepted and leaves no record.
        """
        with self._writing() as connection:
            # The batches first and in order: two workers that end one wait here, and never for each other.
            for batch_id in sorted({line.batch for line in finished}):
                locked_batch(connection, batch_id)
            accepted = [line for line in finished if _accepts(connection, worker, line)]
            for line in accepted:
                if line.record is not None:
                    self._append(connection, line.record)
            batch_ids = sorted({line.batch for line in accepted})
            changed = [self._advanced(connection, batch_id, accepted) for batch_id in batch_ids]
        ended = tuple(batch for batch in changed if batch.state == "done")
        return FinishedBatch(tuple((line.batch, line.line) for line in accepted), ended)

    def _advanced(self, connection: Connection, batch_id: str, accepted: Sequence[FinishedLine]) -> Batch:
        """Count the lines of one batch, and end it where these were the last."""
        batch = locked_batch(connection, batch_id)
        count = Counter(line.failed for line in accepted if line.batch == batch_id)
        changes: dict[str, Any] = {"done": batch.done + count.total(), "failed": batch.failed + count[True]}
        if batch.state in _UNDER_WAY and changes["done"] == batch.lines:
            changes.update(state="done", finished_at=self._now())
        return change_batch(connection, batch_id, changes)


def _together(rows: Sequence[Any]) -> Sequence[Any]:
    """Return those of the first rows that are lent at once: one that was lent in vain, or some that were not."""
    size = 0
    for count, row in enumerate(rows):
        size += row.size
        if count and (size > _MOST_BYTES or row.attempts or rows[0].attempts):
            return rows[:count]
    return rows


def _lent(connection: Connection, lent: ColumnElement[bool]) -> tuple[ClaimedLine, ...]:
    query = (
        select(_ITEMS.batch_id, _ITEMS.line, _ITEMS.input, _BATCHES.options, _ITEMS.attempts, _BATCHES.kind)
        .join_from(tables.batch_items, tables.batches)
        .where(lent)
        .order_by(_ITEMS.batch_id, _ITEMS.line)
    )
    rows = connection.execute(query)
    return tuple(ClaimedLine(batch, line, sent, json.loads(opt), *more) for batch, line, sent, opt, *more in rows)


def _accepts(connection: Connection, worker: str, line: FinishedLine) -> bool:
    key = (_ITEMS.batch_id == line.batch, _ITEMS.line == line.line)
    held = (_ITEMS.claimed_by == worker, _ITEMS.result.is_(None))
    result = {"result": line.result, "failed": line.failed, "place": line.place}
    return connection.execute(tables.batch_items.update().where(*key, *held).values(**result)).rowcount == 1


def _among(keys: Sequence[tuple[str, int]]) -> ColumnElement[bool]:
    return tuple_(_ITEMS.batch_id, _ITEMS.line).in_(keys)
