"""The fleet: of every panel of an order the newest revision, and each that was shipped; and which of them use a part.

It is walked by indexes, from one record to the next: the long texts of a record are read when it is rated, not before.
"""

from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from typing import Any

from sqlalchemy import ColumnElement
from sqlalchemy import Connection
from sqlalchemy import Row
from sqlalchemy import Select
from sqlalchemy import exists
from sqlalchemy import func
from sqlalchemy import or_
from sqlalchemy import select
from sqlalchemy import tuple_

from . import tables
from .database import Database
from .pages import Page
from .pages import page_of

_RECORDS = tables.records.c
_REVISIONS = tables.revisions.c
_PANELS = tables.panels.c
_SHIPPED = tables.shipments.c
_NAMED = tables.record_parts.c
_PARTS = tables.parts.c


@dataclass(frozen=True, slots=True)
class FleetMethod:
    """By what records were made: engine, edition, tables, and the version of the catalogue (None: without one)."""

    engine_version: str
    edition: str
    tables_digest: str
    catalogue_version: int | None


@dataclass(frozen=True, slots=True)
class FleetPanel:
    """A panel of the fleet, without its document: where it is stored, by what it was rated, the parts that it names."""

    record: str
    order: str
    designation: str
    revision: int
    shipped_at: str | None
    method: FleetMethod
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartState:
    """What a part was from a version of the catalogue to the one before another (None: to this day)."""

    digest: str
    from_version: int
    to_version: int | None

    def holds(self, version: int) -> bool:
        """Whether that version has the part in this state."""
        return self.from_version <= version and (self.to_version is None or version < self.to_version)


class Fleet(Database):
    """The part of the store that walks the fleet."""

    def fleet_size(self) -> int:
        """Return how many panels the fleet has; a revision counts, not a designation: several may have been shipped."""
        with self._reading() as connection:
            return int(connection.execute(_of_fleet(select(func.count()))).scalar_one())

    def fleet_methods(self) -> tuple[FleetMethod, ...]:
        """Return the methods that records were made by, sorted; of some there may be no panel in the fleet any more."""
        columns = _method_columns()
        with self._reading() as connection:
            found = [FleetMethod(*row) for row in connection.execute(select(*columns).distinct())]
        return tuple(sorted(found, key=_order))

    def fleet_by_method(self, method: FleetMethod, after: str = "", limit: int = 500) -> Page[FleetPanel]:
        """Return the panels of the fleet that were rated by a method, by their records, after that record."""
        same = zip(_method_columns(), _values(method), strict=True)
        wanted = [column.is_(None) if value is None else column == value for column, value in same]
        query = _of_fleet(_narrow()).where(*wanted, _RECORDS.id > after).order_by(_RECORDS.id)
        return self._page(query, limit)

    def fleet_naming(self, part: str, after: str = "", limit: int = 500) -> Page[FleetPanel]:
        """Return the panels of the fleet that name a part, by their records, after that record."""
        query = _of_fleet(_narrow().join(tables.record_parts, _NAMED.record_id == _RECORDS.id))
        query = query.where(_NAMED.part == part, _NAMED.record_id > after).order_by(_NAMED.record_id)
        return self._page(query, limit)

    def states_of_used_parts(self) -> Iterator[tuple[str, list[PartState]]]:
        """Yield each part of the catalogue that some record names, with all its states, by their numbers."""
        used = exists(select(_NAMED.part).where(_NAMED.part == _PARTS.part))
        query = select(_PARTS.part, _PARTS.part_digest, _PARTS.from_version, _PARTS.to_version).where(used)
        with self._reading() as connection:
            rows = connection.execute(query.order_by(_PARTS.part, _PARTS.from_version)).all()
        for part, states in groupby(rows, key=attrgetter("part")):
            yield part, [PartState(row.part_digest, row.from_version, row.to_version) for row in states]

    def record_texts(self, records: Collection[str]) -> dict[str, tuple[str, str]]:
        """Return the document and the result of records as they are kept, canonical JSON, by the names of these."""
        query = select(_RECORDS.id, _RECORDS.document, _RECORDS.result).where(_RECORDS.id.in_(records))
        with self._reading() as connection:
            return {id: (document, result) for id, document, result in connection.execute(query)}

    def _page(self, query: Select[Any], limit: int) -> Page[FleetPanel]:
        with self._reading() as connection:
            rows = connection.execute(query.limit(limit + 1)).all()
            named = _parts_of(connection, [row.id for row in rows])
        return page_of([_panel(row, named) for row in rows], limit, attrgetter("record"))


def _narrow() -> Select[Any]:
    """Return the query for all but the long texts; it begins at the records, which are walked."""
    own = (_RECORDS.id, _REVISIONS.order_id, _REVISIONS.designation, _REVISIONS.revision, _SHIPPED.shipped_at)
    return select(*own, *_method_columns()).join_from(
        tables.records, tables.revisions, _REVISIONS.record_id == _RECORDS.id
    )


def _of_fleet(query: Select[Any]) -> Select[Any]:
    """Return a query of revisions, confined to those of the fleet."""
    panel, shipped = _same(_PANELS, "order_id", "designation"), _same(_SHIPPED, "order_id", "designation", "revision")
    if not query.get_final_froms():
        query = query.select_from(tables.revisions)
    confined = query.join(tables.panels, panel).outerjoin(tables.shipments, shipped)
    return confined.where(or_(_REVISIONS.revision == _PANELS.newest, _SHIPPED.shipped_at.is_not(None)))


def _same(other: Any, *names: str) -> ColumnElement[bool]:
    return tuple_(*(_REVISIONS[name] for name in names)) == tuple_(*(other[name] for name in names))


def _method_columns() -> tuple[ColumnElement[Any], ...]:
    return _RECORDS.engine_version, _RECORDS.edition, _RECORDS.tables_digest, _RECORDS.catalogue_version


def _values(method: FleetMethod) -> tuple[Any, ...]:
    return method.engine_version, method.edition, method.tables_digest, method.catalogue_version


def _order(method: FleetMethod) -> tuple[Any, ...]:
    *named, version = _values(method)
    return (*named, -1 if version is None else version)


def _parts_of(connection: Connection, records: Sequence[str]) -> dict[str, tuple[str, ...]]:
    query = select(_NAMED.record_id, _NAMED.part).where(_NAMED.record_id.in_(records))
    rows = connection.execute(query.order_by(_NAMED.record_id, _NAMED.part))
    return {record: tuple(row.part for row in own) for record, own in groupby(rows, key=attrgetter("record_id"))}


def _panel(row: Row[Any], named: dict[str, tuple[str, ...]]) -> FleetPanel:
    method = FleetMethod(row.engine_version, row.edition, row.tables_digest, row.catalogue_version)
    place = (row.order_id, row.designation, row.revision, row.shipped_at)
    return FleetPanel(row.id, *place, method, named.get(row.id, ()))
