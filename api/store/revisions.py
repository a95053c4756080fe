"""Revisions of the panels of an order: each with the record of its rating, none ever changed."""

from collections.abc import Collection
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace
from typing import Any

from sqlalchemy import ColumnElement
from sqlalchemy import Connection
from sqlalchemy import Row
from sqlalchemy import Select
from sqlalchemy import select
from sqlalchemy import tuple_
from sqlalchemy.dialects import postgresql
from sqlalchemy.dialects import sqlite

from sccr.units import amperes

from . import tables
from .canonical import canonical
from .canonical import digest_of_text
from .canonical import parsed
from .errors import Conflict
from .errors import Exists
from .errors import NotFound
from .pages import Page
from .pages import page_of
from .records import NewRecord
from .records import Record
from .records import Records

_REVISIONS = tables.revisions.c
_PANELS = tables.panels.c
#: Between order and designation in a cursor; it can be stored in neither.
_BETWEEN = "\x1f"


@dataclass(frozen=True, slots=True)
class Revision:
    """A panel of an order as it was sent once. `etag` names this revision of this panel and no other.

    status, current_amperes: of its rating, as its record has them.
    """

    order: str
    designation: str
    revision: int
    document: dict[str, Any]
    document_digest: str
    record_id: str
    status: str
    current_amperes: int | float | None
    catalogue_version: int | None
    etag: str
    created_at: str
    created_by: str
    shipped_at: str | None


class Revisions(Records):
    """The part of the store that keeps the panels of orders."""

    def put_revision(
        self,
        order: str,
        designation: str,
        new: NewRecord,
        *,
        expected_etag: str | None = None,
        create_only: bool = False,
    ) -> Revision:
        """Keep the next revision of a panel and the record of its rating, both or neither.

        Raises Conflict where the newest revision has not the etag expected, Exists where `create_only` is asked and
        there is one, ValueError where the result is not of this document. Of two callers at once the second sees what
        the first has done.
        """
        with self._writing() as connection:
            now = self._now()
            newest = _locked_newest(connection, order, designation, now)
            _require_expected(connection, order, designation, newest, expected_etag, create_only)
            number = newest + 1
            placed = replace(new, order=order, designation=designation, revision=number)
            record = self._append(connection, placed)
            own = _row(record, order, designation, number, now)
            connection.execute(tables.revisions.insert(), own)
            panel = tables.panels.update().where(_PANELS.order_id == order, _PANELS.designation == designation)
            connection.execute(panel.values(newest=number, changed_at=now))
        return _made(own, record)

    def revision(self, order: str, designation: str, number: int | None = None) -> Revision | None:
        """Return that revision of a panel, or the newest; nothing where there is none."""
        wanted = [_REVISIONS.order_id == order, _REVISIONS.designation == designation]
        if number is not None:
            wanted.append(_REVISIONS.revision == number)
        query = _select().where(*wanted).order_by(_REVISIONS.revision.desc()).limit(1)
        with self._reading() as connection:
            row = connection.execute(query).one_or_none()
        return None if row is None else _revision(row)

    def revisions(self, order: str, designation: str, after: str | None = None, limit: int = 50) -> Page[Revision]:
        """Return the revisions of a panel before that number, the newest first."""
        query = _select().where(_REVISIONS.order_id == order, _REVISIONS.designation == designation)
        if after is not None:
            query = query.where(_REVISIONS.revision < int(after))
        found = self._found(query.order_by(_REVISIONS.revision.desc()), limit)
        return page_of(found, limit, lambda revision: str(revision.revision))

    def panels(self, order: str, after: str | None = None, limit: int = 50) -> Page[Revision]:
        """Return the newest revision of each panel of an order, by their designations."""
        query = _newest().where(_PANELS.order_id == order).order_by(_PANELS.designation)
        if after is not None:
            query = query.where(_PANELS.designation > after)
        return page_of(self._found(query, limit), limit, lambda revision: revision.designation)

    def panels_using(self, parts: Collection[str], after: str | None = None, limit: int = 50) -> Page[Revision]:
        """Return the newest revision of each panel that was rated with one of the parts."""
        named = tables.record_parts.c
        query = _newest().where(_REVISIONS.record_id.in_(select(named.record_id).where(named.part.in_(list(parts)))))
        if after is not None:
            query = query.where(_after_panel(after))
        found = self._found(query.order_by(_PANELS.order_id, _PANELS.designation), limit)
        return page_of(found, limit, lambda revision: f"{revision.order}{_BETWEEN}{revision.designation}")

    def mark_shipped(self, order: str, designation: str, number: int, by: str) -> Revision:
        """Note that a revision was shipped, and return it. Once: a second note changes nothing. Raises NotFound."""
        with self._writing() as connection:
            found = self.revision(order, designation, number)
            if found is None:
                raise NotFound(f"there is no revision {number} of the panel {designation!r} of the order {order!r}")
            if found.shipped_at is not None:
                return found
            key = {"order_id": order, "designation": designation, "revision": number}
            noted = {**key, "shipped_at": self._now(), "shipped_by": by}
            _insert_once(connection, tables.shipments, noted)
            return self.revision(order, designation, number) or found

    def _found(self, query: Select[Any], limit: int) -> list[Revision]:
        with self._reading() as connection:
            return [_revision(row) for row in connection.execute(query.limit(limit + 1))]


def _locked_newest(connection: Connection, order: str, designation: str, now: str) -> int:
    """Return the number of the newest revision, 0 for none, and hold the panel to the end of the transaction."""
    _insert_once(connection, tables.orders, {"order_id": order, "folded": order.casefold(), "created_at": now})
    panel = {"order_id": order, "designation": designation, "folded": designation.casefold()}
    _insert_once(connection, tables.panels, {**panel, "newest": 0, "changed_at": now})
    query = select(_PANELS.newest).where(_PANELS.order_id == order, _PANELS.designation == designation)
    newest: int = connection.execute(query.with_for_update()).scalar_one()
    return newest


def _insert_once(connection: Connection, table: Any, row: Mapping[str, Any]) -> None:
    """Insert a row unless there is one of its key."""
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    connection.execute(insert(table).on_conflict_do_nothing(), row)


def _require_expected(
    connection: Connection, order: str, designation: str, newest: int, expected: str | None, create_only: bool
) -> None:
    if create_only and newest:
        raise Exists(f"the order {order!r} has a panel {designation!r} already")
    if expected is None:
        return
    key = {_REVISIONS.order_id: order, _REVISIONS.designation: designation, _REVISIONS.revision: newest}
    etag = connection.execute(select(_REVISIONS.etag).where(*(column == value for column, value in key.items())))
    current = etag.scalar()
    if current != expected:
        raise Conflict(f"the panel {designation!r} of the order {order!r} has changed since", current)


def _row(record: Record, order: str, designation: str, number: int, now: str) -> dict[str, Any]:
    named = [order, designation, number, record.document_digest, record.id]
    return {
        "order_id": order,
        "designation": designation,
        "revision": number,
        "record_id": record.id,
        "etag": digest_of_text(canonical(named)),
        "created_at": now,
        "created_by": record.asked_by,
    }


def _select() -> Select[Any]:
    """Return the query for revisions, each with what its record holds and when it was shipped."""
    records = tables.records.c
    shipped = tables.shipments
    return (
        select(
            *tables.revisions.columns,
            records.document,
            records.document_digest,
            records.status,
            records.current_ma,
            records.catalogue_version,
            shipped.c.shipped_at,
        )
        .join_from(tables.revisions, tables.records, records.id == _REVISIONS.record_id)
        .outerjoin(shipped, _same(tables.revisions.c, shipped.c, "order_id", "designation", "revision"))
    )


def _newest() -> Select[Any]:
    """Return the query for the newest revision of each panel."""
    same = _same(_PANELS, _REVISIONS, "order_id", "designation") & (_PANELS.newest == _REVISIONS.revision)
    return _select().join(tables.panels, same)


def _same(one: Any, other: Any, *names: str) -> ColumnElement[bool]:
    return tuple_(*(one[name] for name in names)) == tuple_(*(other[name] for name in names))


def _after_panel(place: str) -> ColumnElement[bool]:
    order, _, designation = place.partition(_BETWEEN)
    return tuple_(_PANELS.order_id, _PANELS.designation) > tuple_(order, designation)


def _revision(row: Row[Any]) -> Revision:
    own = row._mapping
    elsewhere = ("order", "document", "current_amperes")
    return Revision(
        order=own["order_id"],
        document=parsed(own["document"]),
        current_amperes=None if own["current_ma"] is None else amperes(own["current_ma"]),
        **{name: own[name] for name in Revision.__slots__ if name not in elsewhere},
    )


def _made(own: Mapping[str, Any], record: Record) -> Revision:
    fields = {name: own[name] for name in Revision.__slots__ if name in own}
    return Revision(
        order=own["order_id"],
        document=record.document,
        document_digest=record.document_digest,
        status=record.status,
        current_amperes=record.current_amperes,
        catalogue_version=record.catalogue_version,
        shipped_at=None,
        **fields,
    )
