"""Records of ratings: what was asked, what was answered, by what. They are added, and never change."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement
from sqlalchemy import Connection
from sqlalchemy import Row
from sqlalchemy import select

from sccr.units import AMPERE
from sccr.units import amperes

from . import tables
from .canonical import canonical
from .canonical import digest_of_text
from .canonical import parsed
from .database import Database
from .pages import Page
from .pages import page_of
from .parts import parts_named


@dataclass(frozen=True, slots=True)
class NewRecord:
    """A rating to be kept. `result` is `Rating.as_dict()`; `id` is from `new_id()` where it must be known before."""

    document: Mapping[str, Any]
    result: Mapping[str, Any]
    asked_by: str
    catalogue_version: int | None = None
    order: str | None = None
    designation: str | None = None
    revision: int | None = None
    id: str | None = None


@dataclass(frozen=True, slots=True)
class Record:
    """A rating as it was answered. `digest` covers all the rest, the document and result by their own digests."""

    id: str
    document: dict[str, Any]
    document_digest: str
    result: dict[str, Any]
    status: str
    current_amperes: int | float | None
    engine_version: str
    edition: str
    tables_digest: str
    catalogue_digest: str | None
    catalogue_version: int | None
    asked_by: str
    asked_at: str
    order: str | None
    designation: str | None
    revision: int | None
    digest: str

    @property
    def intact(self) -> bool:
        """Whether document and record still have the digests that they were kept with."""
        if digest_of_text(canonical(self.document)) != self.document_digest:
            return False
        names = (column.name for column in tables.records.columns)
        own = {name: getattr(self, _FIELDS.get(name, name), None) for name in names}
        own["current_ma"] = None if self.current_amperes is None else _milliamperes(self.current_amperes)
        own["result"] = canonical(self.result)
        return _digest(own) == self.digest


#: Columns whose name is another one in a record.
_FIELDS = {"order_id": "order"}


class Records(Database):
    """The part of the store that keeps ratings."""

    def append_record(self, new: NewRecord) -> Record:
        """Keep a rating, and return it as it is kept from now on.

        Raises ValueError where the result is not of this document.
        """
        with self._writing() as connection:
            return self._append(connection, new)

    def record(self, id: str) -> Record | None:
        """Return the record of that name, or nothing."""
        with self._reading() as connection:
            row = connection.execute(select(tables.records).where(tables.records.c.id == id)).one_or_none()
        return None if row is None else record_of(row)

    def records(
        self,
        after: str | None = None,
        limit: int = 50,
        *,
        document_digest: str | None = None,
        order: str | None = None,
        designation: str | None = None,
        part: str | None = None,
    ) -> Page[Record]:
        """Return the records after that one, the oldest first: all, or those of a document, order, panel or part."""
        columns = tables.records.c
        equal = {columns.document_digest: document_digest, columns.order_id: order, columns.designation: designation}
        wanted = [column == value for column, value in equal.items() if value is not None]
        if after is not None:
            wanted.append(columns.id > after)
        if part is not None:
            wanted.append(_uses(part))
        query = select(tables.records).where(*wanted).order_by(columns.id).limit(limit + 1)
        with self._reading() as connection:
            rows = connection.execute(query).all()
        return page_of([record_of(row) for row in rows], limit, lambda record: record.id)

    def document_of(self, document_digest: str) -> dict[str, Any] | None:
        """Return the document of that digest, where a rating of it is kept, or nothing."""
        columns = tables.records.c
        query = select(columns.document).where(columns.document_digest == document_digest).limit(1)
        with self._reading() as connection:
            found = connection.execute(query).scalar()
        return None if found is None else parsed(found)

    def record_for(
        self,
        document_digest: str,
        engine_version: str,
        edition: str,
        tables_digest: str,
        catalogue_digest: str | None,
    ) -> Record | None:
        """Return the newest record of that document by that method, or nothing."""
        columns = tables.records.c
        query = select(tables.records).where(
            columns.document_digest == document_digest,
            columns.engine_version == engine_version,
            columns.edition == edition,
            columns.tables_digest == tables_digest,
            columns.catalogue_digest.is_not_distinct_from(catalogue_digest),
        )
        with self._reading() as connection:
            row = connection.execute(query.order_by(columns.id.desc()).limit(1)).one_or_none()
        return None if row is None else record_of(row)

    def _append(self, connection: Connection, new: NewRecord) -> Record:
        own = _row(new, new.id or self.new_id(), self._now())
        connection.execute(tables.records.insert(), own)
        named = [{"record_id": own["id"], "part": part} for part in parts_named(new.document)]
        if named:
            connection.execute(tables.record_parts.insert(), named)
        return _record(own)


def _uses(part: str) -> ColumnElement[bool]:
    named = tables.record_parts.c
    return tables.records.c.id.in_(select(named.record_id).where(named.part == part))


def _row(new: NewRecord, id: str, now: str) -> dict[str, Any]:
    """Return a record as a row, with all that the result says of itself taken from there."""
    document = canonical(new.document)
    digest = digest_of_text(document)
    if digest != new.result["document_digest"]:
        raise ValueError("the result is not of this document: their digests differ")
    method, rating = new.result["method"], new.result["rating"]
    own = {
        "id": id,
        "document": document,
        "document_digest": digest,
        "result": canonical(new.result),
        "status": new.result["status"],
        "current_ma": None if rating is None else _milliamperes(rating["current_amperes"]),
        "engine_version": method["engine_version"],
        "edition": method["edition"],
        "tables_digest": method["tables_digest"],
        "catalogue_digest": method["catalogue_digest"],
        "catalogue_version": new.catalogue_version,
        "asked_by": new.asked_by,
        "asked_at": now,
        "order_id": new.order,
        "designation": new.designation,
        "revision": new.revision,
    }
    return {**own, "digest": _digest(own)}


def _digest(own: Mapping[str, Any]) -> str:
    """Return the digest of a row: its document and result stand in it by their digests."""
    rest = {name: value for name, value in own.items() if name not in ("document", "digest")}
    return digest_of_text(canonical({**rest, "result": digest_of_text(rest["result"])}))


def _milliamperes(current: int | float) -> int:
    return round(current * AMPERE)


def record_of(row: Row[Any]) -> Record:
    """Return the record of a row that has the columns of the table."""
    return _record(dict(row._mapping))


def _record(own: Mapping[str, Any]) -> Record:
    same = {name: own[name] for name in Record.__slots__ if name not in ("current_amperes", "order")}
    return Record(
        **{**same, "document": parsed(own["document"]), "result": parsed(own["result"])},
        current_amperes=None if own["current_ma"] is None else amperes(own["current_ma"]),
        order=own["order_id"],
    )
