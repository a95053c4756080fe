"""Changes of the catalogue: a list of them makes one new version, and no version ever changes."""

from collections.abc import Iterable
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from typing import Final

from sqlalchemy import Connection
from sqlalchemy import Row
from sqlalchemy import bindparam
from sqlalchemy import select
from sqlalchemy import text

from sccr.schema.catalogue import FORMAT
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part
from sccr.schema.digest import canonical_part
from sccr.schema.digest import digest_of_parts

from . import tables
from .bulk import insert_many
from .database import Database
from .errors import Conflict
from .errors import Exists
from .errors import NotFound
from .parts import CatalogueVersion
from .search_columns import attribute_rows
from .search_columns import part_columns
from .search_columns import rating_rows

#: A number of our own: whoever changes the catalogue holds the advisory lock of this name.
_LOCK: Final = 5_082_027
#: From so many changes on, what the database knows of its tables is out of date.
_MANY: Final = 1_000


@dataclass(frozen=True, slots=True)
class Put:
    """A part as it is to be from now on, in the form of an entry of `catalogue/1`.

    expected_etag: what the part must be now; create_only: it must not be there.
    """

    document: Mapping[str, Any]
    expected_etag: str | None = None
    create_only: bool = False


@dataclass(frozen=True, slots=True)
class Delete:
    """A part that is to be gone from now on. expected_etag: what it must be now."""

    part: str
    expected_etag: str | None = None


@dataclass(frozen=True, slots=True)
class ReadPut:
    """A Put that was read and found right: what takes long of a long list, and needs no transaction."""

    put: Put
    part: Part
    document: str
    digest: str


class Changes(Database):
    """The part of the store that changes the catalogue."""

    def apply_changes(
        self,
        changes: Sequence[Put | ReadPut | Delete],
        by: str,
        note: str | None = None,
        expected_version: int | None = None,
    ) -> CatalogueVersion:
        """Make one new version with all the changes, and return it; where they change nothing, the present one.

        Parameters
        ----------
        changes : sequence of Put and Delete
            Each part once; at most 50,000 Puts. What `read_puts` has read is taken as well.
        by, note : str
            Who changed it, and what for.
        expected_version : int, optional
            The version that the changes were based on; 0 for none.

        Raises
        ------
        sccr.InvalidDocument
            With all that is wrong with the parts, at /parts/<number among the Puts>/…
        Conflict, Exists, NotFound
            Where the catalogue is not what the changes expect. Nothing is changed then.
        ValueError
            Where a part is to be put and deleted at once.
        """
        read = [change for change in changes if isinstance(change, ReadPut)]
        puts = {
            each.part.part: each for each in (*read, *read_puts([each for each in changes if isinstance(each, Put)]))
        }
        deletes = {change.part: change for change in changes if isinstance(change, Delete)}
        if both := deletes.keys() & puts.keys():
            raise ValueError(f"to be put and deleted at once: {', '.join(sorted(both))}")
        with self._writing() as connection:
            newest = _locked_newest(connection)
            _require_version(newest, expected_version)
            present = _present(connection)
            _require_expected(puts.values(), deletes.values(), present)
            new = [ready for part, ready in puts.items() if part not in present or present[part][1] != ready.digest]
            if newest is not None and not new and not deletes:
                return newest
            version = self._next_version(newest, present, new, deletes, by, note)
            _write(connection, version, present, new, deletes)
            return version

    def _next_version(
        self,
        newest: CatalogueVersion | None,
        present: Mapping[str, tuple[int, str]],
        new: Iterable[ReadPut],
        deletes: Mapping[str, Delete],
        by: str,
        note: str | None,
    ) -> CatalogueVersion:
        digests = {part: digest for part, (_, digest) in present.items() if part not in deletes}
        digests.update((ready.part.part, ready.digest) for ready in new)
        number = newest.number + 1 if newest else 1
        return CatalogueVersion(number, digest_of_parts(digests.items()), len(digests), self._now(), by, note)


def version_of(row: Row[Any]) -> CatalogueVersion:
    """Return the version of a row of the table."""
    return CatalogueVersion(**row._mapping)


def read_puts(puts: Sequence[Put]) -> tuple[ReadPut, ...]:
    """Return the Puts, read. Raises InvalidDocument with all that is wrong with the parts, at /parts/<number>/…"""
    documents = [dict(put.document) for put in puts]
    parts = Catalogue.from_document({"format": FORMAT, "parts": documents}).parts.values()
    whole = zip(puts, parts, documents, strict=True)
    return tuple(ReadPut(put, part, canonical_part(document), part.digest) for put, part, document in whole)


def puts_of(documents: Sequence[Mapping[str, Any]], catalogue: Catalogue) -> tuple[ReadPut, ...]:
    """Return what puts the parts of a document of the format "catalogue/1", of which that catalogue was read."""
    whole = zip(documents, catalogue.parts.values(), strict=True)
    return tuple(ReadPut(Put(document), part, canonical_part(document), part.digest) for document, part in whole)


def _locked_newest(connection: Connection) -> CatalogueVersion | None:
    """Return the newest version; from here on to the end of the transaction nobody else makes one."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:name)"), {"name": _LOCK})
    versions = tables.catalogue_versions
    row = connection.execute(select(versions).order_by(versions.c.number.desc()).limit(1)).one_or_none()
    return None if row is None else version_of(row)


def _present(connection: Connection) -> dict[str, tuple[int, str]]:
    """Return the row and digest of each part that there is."""
    columns = tables.parts.c
    query = select(columns.part, columns.row, columns.part_digest).where(columns.to_version.is_(None))
    return {part: (row, digest) for part, row, digest in connection.execute(query)}


def _require_version(newest: CatalogueVersion | None, expected: int | None) -> None:
    number = newest.number if newest else 0
    if expected is not None and expected != number:
        raise Conflict(f"the catalogue is no longer at version {expected}", str(number))


def _require_expected(
    puts: Iterable[ReadPut], deletes: Iterable[Delete], present: Mapping[str, tuple[int, str]]
) -> None:
    for ready in puts:
        part = ready.part.part
        if ready.put.create_only and part in present:
            raise Exists(f"the part {part!r} is there already")
        _require_etag(part, ready.put.expected_etag, present)
    for delete in deletes:
        _require_etag(delete.part, delete.expected_etag, present)
        if delete.part not in present:
            raise NotFound(f"there is no part {delete.part!r}")


def _require_etag(part: str, expected: str | None, present: Mapping[str, tuple[int, str]]) -> None:
    current = present[part][1] if part in present else None
    if expected is not None and expected != current:
        raise Conflict(f"the part {part!r} has changed since", current)


def _write(
    connection: Connection,
    version: CatalogueVersion,
    present: Mapping[str, tuple[int, str]],
    new: Sequence[ReadPut],
    deletes: Iterable[str],
) -> None:
    connection.execute(
        tables.catalogue_versions.insert(),
        {column.name: getattr(version, column.name) for column in tables.catalogue_versions.columns},
    )
    replaced = [ready.part.part for ready in new if ready.part.part in present]
    ended = [{"ended": present[part][0]} for part in (*replaced, *deletes)]
    if ended:
        end = tables.parts.update().where(tables.parts.c.row == bindparam("ended")).values(to_version=version.number)
        connection.execute(end, ended)
    _insert(connection, version.number, new)
    if len(new) + len(ended) >= _MANY:
        connection.execute(text("ANALYZE"))


def _insert(connection: Connection, version: int, new: Sequence[ReadPut]) -> None:
    columns = tables.parts.c
    last = connection.execute(select(columns.row).order_by(columns.row.desc()).limit(1)).scalar() or 0
    rows = list(enumerate(new, last + 1))
    fixed = [(row, ready.part.part, ready.digest, version, None, *part_columns(ready.part)) for row, ready in rows]
    insert_many(connection, tables.parts, fixed)
    insert_many(connection, tables.part_documents, [(row, ready.document) for row, ready in rows])
    ratings = [(row, *rating) for row, ready in rows for rating in rating_rows(ready.part)]
    insert_many(connection, tables.part_ratings, ratings)
    attributes = [(*attribute, row) for row, ready in rows for attribute in attribute_rows(ready.part)]
    insert_many(connection, tables.part_attributes, attributes)
