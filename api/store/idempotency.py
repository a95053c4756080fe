"""Requests that are sent again: the first is done, the others are given its answer."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from typing import Final

from sqlalchemy import ColumnElement
from sqlalchemy import Connection
from sqlalchemy import Row
from sqlalchemy import select
from sqlalchemy.dialects import postgresql
from sqlalchemy.dialects import sqlite

from . import tables
from .database import Database
from .times import stamp_after

#: How long an answer is kept [s], and after how long a request that got none counts as lost [s].
KEPT: Final = 24 * 60 * 60
LOST: Final = 60

_TABLE: Final = tables.idempotency
_COLUMNS: Final = tables.idempotency.c


@dataclass(frozen=True, slots=True)
class Claim:
    """What a request finds under its key.

    state: "new": do it, then `finish` or `forget`; "in_flight": another does it now; "replay": it was done, and this
    is the answer; "mismatch": the key was used for another request. `token` is of "new" only.
    """

    state: str
    scope: str
    key: str
    token: str | None = None
    status: int | None = None
    headers: tuple[tuple[str, str], ...] = ()
    body: bytes = b""


class Idempotency(Database):
    """The part of the store that knows which requests were done."""

    def claim(self, scope: str, key: str, fingerprint: str) -> Claim:
        """Claim a key for a request, or return what has become of the request that claimed it first.

        A claim without an answer for 60 seconds is taken over; an answer is kept for 24 hours.
        """
        token = self.new_id()
        own = {"scope": scope, "key": key, "fingerprint": fingerprint, "token": token, "claimed_at": self._now()}
        with self._writing() as connection:
            if _insert(connection, own):
                return Claim("new", scope, key, token)
            query = select(_TABLE).where(*_is(scope, key)).with_for_update()
            there = connection.execute(query).one_or_none()
            if there is not None and self._counts(there):
                return _found(there, fingerprint)
            unanswered = {"status": None, "headers": None, "body": None}
            if there is None:  # forgotten between the two statements
                connection.execute(_TABLE.insert(), own)
            else:
                connection.execute(_TABLE.update().where(*_is(scope, key)).values(**own, **unanswered))
            return Claim("new", scope, key, token)

    def finish(self, claim: Claim, status: int, headers: Iterable[tuple[str, str]], body: bytes) -> bool:
        """Keep the answer to the request that claimed the key; False where another has taken the claim over.

        In one transaction with the work, so that it is done once: `with store.transaction(): …; store.finish(…)`.
        """
        answer = {"status": status, "headers": json.dumps(list(headers)), "body": body}
        with self._writing() as connection:
            changed = connection.execute(_TABLE.update().where(*_held(claim)).values(**answer))
            return changed.rowcount == 1

    def forget(self, claim: Claim) -> None:
        """Give the key back: the request was not done, and may be sent again."""
        with self._writing() as connection:
            connection.execute(_TABLE.delete().where(*_held(claim)))

    def forget_expired(self) -> int:
        """Forget the answers that are older than 24 hours, and return how many they were."""
        with self._writing() as connection:
            return connection.execute(_TABLE.delete().where(_COLUMNS.claimed_at <= self._before(KEPT))).rowcount

    def _counts(self, there: Row[Any]) -> bool:
        """Whether what is there is still to be heeded.

        A claim without an answer is not where it was made later than now: the clock was set back since. Were that one
        not lost, it would find that another has taken it over.
        """
        if there.status is None:
            return bool(self._before(LOST) < there.claimed_at <= self._before(-LOST))
        return bool(there.claimed_at > self._before(KEPT))

    def _before(self, seconds: int) -> str:
        return stamp_after(self._clock(), -seconds)


def _insert(connection: Connection, own: dict[str, Any]) -> bool:
    """Insert the claim unless there is one of its key; in PostgreSQL, wait for the transaction that is making one."""
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    inserted = insert(_TABLE).on_conflict_do_nothing().returning(_COLUMNS.token)
    return connection.execute(inserted, own).one_or_none() is not None


def _is(scope: str, key: str) -> tuple[ColumnElement[bool], ...]:
    return _COLUMNS.scope == scope, _COLUMNS.key == key


def _held(claim: Claim) -> tuple[ColumnElement[bool], ...]:
    return (*_is(claim.scope, claim.key), _COLUMNS.token == claim.token, _COLUMNS.status.is_(None))


def _found(there: Row[Any], fingerprint: str) -> Claim:
    if there.fingerprint != fingerprint:
        return Claim("mismatch", there.scope, there.key)
    if there.status is None:
        return Claim("in_flight", there.scope, there.key)
    headers = tuple((name, value) for name, value in json.loads(there.headers))
    return Claim("replay", there.scope, there.key, None, there.status, headers, there.body)
