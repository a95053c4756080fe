"""Batches: many panels sent at once. Here they are received; `batch_work` does them."""

import json
from collections.abc import Iterable
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice
from typing import Any
from typing import Final

from sqlalchemy import Connection
from sqlalchemy import Row
from sqlalchemy import select

from . import tables
from .canonical import canonical
from .errors import NotFound
from .errors import WrongState
from .pages import Page
from .pages import page_of
from .records import Records

#: Lines that are written in one transaction.
_CHUNK: Final = 500
#: The states that a batch does not leave.
ENDED: Final = ("done", "failed", "cancelled")
#: What the lines of a batch are: panels to be rated, or stored panels that are held against a change.
RATINGS: Final = "ratings"
IMPACTS: Final = "impacts"

_BATCHES: Final = tables.batches.c


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch and how far it is.

    state: "receiving" (lines are added), "queued" (sealed), "running", and at its end "done", "failed" or "cancelled".
    total: the lines it has, once they are all there; lines: those that are; done: those finished; failed: of these,
    the ones that could not be rated. kind: "ratings" or "impacts".
    """

    id: str
    created_at: str
    by: str
    state: str
    total: int | None
    lines: int
    done: int
    failed: int
    sealed_at: str | None
    finished_at: str | None
    options: dict[str, Any]
    reason: str | None
    kind: str


class Batches(Records):
    """The part of the store that receives batches."""

    def create_batch(self, by: str, options: Mapping[str, Any] | None = None, kind: str = RATINGS) -> Batch:
        """Begin a batch."""
        new = {"id": self.new_id(), "created_at": self._now(), "created_by": by, "options": canonical(options or {})}
        with self._writing() as connection:
            begun = {"state": "receiving", "lines": 0, "done": 0, "failed": 0, "kind": kind}
            connection.execute(tables.batches.insert(), {**new, **begun})
            return locked_batch(connection, new["id"])

    def add_lines(self, batch_id: str, lines: Iterable[bytes]) -> int:
        """Add lines as they come, and return how many there are now. What was added stays if the caller breaks off.

        Raises NotFound, or WrongState where the batch is not being received.
        """
        waiting = iter(lines)
        while True:
            some = list(islice(waiting, _CHUNK))
            count = self._add(batch_id, some)
            if len(some) < _CHUNK:
                return count

    def seal(self, batch_id: str, options: Mapping[str, Any] | None = None) -> Batch:
        """Say that all lines are there, and with what options: from now on they are worked on.

        Raises NotFound, WrongState.
        """
        with self._writing() as connection:
            batch = require_state(connection, batch_id, "receiving")
            empty = {"state": "done", "finished_at": self._now()} if batch.lines == 0 else {}
            known = {} if options is None else {"options": canonical(options)}
            return change_batch(connection, batch_id, {"state": "queued", "sealed_at": self._now(), **empty, **known})

    def cancel_batch(self, batch_id: str) -> Batch:
        """End a batch before its time; what is finished stays. One that has ended stays as it is. Raises NotFound."""
        return self._end(batch_id, "cancelled", None)

    def fail_batch(self, batch_id: str, reason: str) -> Batch:
        """End a batch that cannot go on, such as one whose sender broke off. Raises NotFound."""
        return self._end(batch_id, "failed", reason)

    def batch(self, batch_id: str, kind: str | None = None) -> Batch | None:
        """Return a batch, or nothing; of a kind, where one is said."""
        query = select(tables.batches).where(_BATCHES.id == batch_id)
        if kind is not None:
            query = query.where(_BATCHES.kind == kind)
        with self._reading() as connection:
            row = connection.execute(query).one_or_none()
        return None if row is None else batch_of(row)

    def batches(
        self,
        after: str | None = None,
        limit: int = 50,
        *,
        by: str | None = None,
        state: str | None = None,
        kind: str | None = None,
    ) -> Page[Batch]:
        """Return the batches before that one, the newest first: all, or those of a sender, in a state or of a kind."""
        query = select(tables.batches).order_by(_BATCHES.id.desc()).limit(limit + 1)
        if after is not None:
            query = query.where(_BATCHES.id < after)
        for column, value in ((_BATCHES.created_by, by), (_BATCHES.state, state), (_BATCHES.kind, kind)):
            if value is not None:
                query = query.where(column == value)
        with self._reading() as connection:
            found = [batch_of(row) for row in connection.execute(query)]
        return page_of(found, limit, lambda batch: batch.id)

    def _add(self, batch_id: str, lines: list[bytes]) -> int:
        with self._writing() as connection:
            batch = require_state(connection, batch_id, "receiving")
            count = batch.lines + len(lines)
            if lines:
                numbered = enumerate(lines, batch.lines + 1)
                rows = [{"batch_id": batch_id, "line": n, "input": line, "failed": False} for n, line in numbered]
                connection.execute(tables.batch_items.insert(), rows)
                change_batch(connection, batch_id, {"lines": count})
        return count

    def _end(self, batch_id: str, state: str, reason: str | None) -> Batch:
        with self._writing() as connection:
            batch = locked_batch(connection, batch_id)
            if batch.state in ENDED:
                return batch
            return change_batch(connection, batch_id, {"state": state, "reason": reason, "finished_at": self._now()})


def locked_batch(connection: Connection, batch_id: str) -> Batch:
    """Return a batch, held to the end of the transaction. Raises NotFound."""
    query = select(tables.batches).where(_BATCHES.id == batch_id).with_for_update()
    row = connection.execute(query).one_or_none()
    if row is None:
        raise NotFound(f"there is no batch {batch_id!r}")
    return batch_of(row)


def require_state(connection: Connection, batch_id: str, state: str) -> Batch:
    """Return a batch that is in that state, held. Raises NotFound, WrongState."""
    batch = locked_batch(connection, batch_id)
    if batch.state != state:
        raise WrongState(f"the batch is {batch.state}, not {state}")
    return batch


def change_batch(connection: Connection, batch_id: str, changes: Mapping[str, Any]) -> Batch:
    """Change a batch that is held, and return it."""
    connection.execute(tables.batches.update().where(_BATCHES.id == batch_id).values(**changes))
    return locked_batch(connection, batch_id)


def batch_of(row: Row[Any]) -> Batch:
    """Return the batch of a row of the table."""
    own = row._mapping
    same = {name: own[name] for name in Batch.__slots__ if name in own and name != "options"}
    total = None if own["sealed_at"] is None else own["lines"]
    return Batch(**same, by=own["created_by"], total=total, options=json.loads(own["options"]))
