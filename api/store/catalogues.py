"""The catalogue, read: a version of it, its parts, and a catalogue to rate by."""

from collections.abc import Iterator
from collections.abc import Sequence
from typing import Any
from typing import Final

from sqlalchemy import ColumnElement
from sqlalchemy import Connection
from sqlalchemy import and_
from sqlalchemy import or_
from sqlalchemy import select

from . import tables
from .canonical import parsed
from .changes import Changes
from .changes import version_of
from .errors import NotFound
from .pages import Page
from .pages import page_of
from .parts import CatalogueVersion
from .parts import StoredPart
from .parts import parts_named
from .search import PartQuery
from .search import conditions
from .stored_catalogue import StoredCatalogue
from .stored_catalogue import StoredParts

_PARTS = tables.parts.c
_CHUNK: Final = 1_000


class Catalogues(Changes):
    """The part of the store that keeps the catalogue."""

    def catalogue_version(self, number: int | None = None) -> CatalogueVersion | None:
        """Return that version of the catalogue, or the newest; nothing where there is none."""
        return self._kept("newest version", self._version_read) if number is None else self._version_read(number)

    def _version_read(self, number: int | None = None) -> CatalogueVersion | None:
        with self._reading() as connection:
            return _version(connection, number)

    def catalogue_versions(self, after: str | None = None, limit: int = 50) -> Page[CatalogueVersion]:
        """Return the versions before that one, the newest first."""
        versions = tables.catalogue_versions
        query = select(versions).order_by(versions.c.number.desc()).limit(limit + 1)
        if after is not None:
            query = query.where(versions.c.number < int(after))
        with self._reading() as connection:
            found = [version_of(row) for row in connection.execute(query)]
        return page_of(found, limit, lambda version: str(version.number))

    def part(self, part: str, version: int | None = None) -> StoredPart | None:
        """Return a part as that version of the catalogue has it, or the newest. Raises NotFound for no version."""
        found = self._stored([_PARTS.part == part], version, 1)
        return found[0] if found else None

    def search(
        self, query: PartQuery, after: str | None = None, limit: int = 50, version: int | None = None
    ) -> Page[StoredPart]:
        """Return the parts that a query wants, by their number. Raises NotFound for no version."""
        wanted = list(conditions(query))
        if after is not None:
            wanted.append(_PARTS.part > after)
        return page_of(self._stored(wanted, version, limit + 1), limit, lambda part: part.part)

    def every_part(self, version: int | None = None) -> Iterator[StoredPart]:
        """Yield the parts of one version, by their number, however the catalogue changes meanwhile."""
        of = self.catalogue_version(version)
        if of is None and version is not None:
            raise NotFound(f"the catalogue has no version {version}")
        after: str | None = ""
        while of is not None and after is not None:
            page = self.search(PartQuery(), after, _CHUNK, of.number)
            yield from page.items
            after = page.next

    def changed_parts(self, version: int) -> tuple[str, ...]:
        """Return the parts that a version put or deleted, by their number."""
        query = select(_PARTS.part).where(or_(_PARTS.from_version == version, _PARTS.to_version == version))
        with self._reading() as connection:
            return tuple(connection.execute(query.distinct().order_by(_PARTS.part)).scalars())

    def catalogue(self, version: int | None = None) -> StoredCatalogue | None:
        """Return a version of the catalogue to rate by, which reads its parts when they are asked for.

        Nothing where there is no catalogue. Raises NotFound where there is no such version. Make one for each rating.
        """
        of = self.catalogue_version(version)
        if of is None:
            if version is not None:
                raise NotFound(f"the catalogue has no version {version}")
            return None
        return StoredCatalogue(StoredParts(self, of), of.digest, version=of.number)

    def catalogue_for(self, document: Any, version: int | None = None) -> StoredCatalogue | None:
        """Return what `catalogue` does, with all the parts that a panel document names already read."""
        found = self.catalogue(version)
        if found is not None:
            found.stored.fetch(parts_named(document))
        return found

    def part_documents(self, parts: Sequence[str], version: int) -> dict[str, str]:
        """Return the canonical documents of those of the parts that a version has."""
        query = select(_PARTS.part, tables.part_documents.c.document).join_from(tables.parts, tables.part_documents)
        found: dict[str, str] = {}
        with self._reading() as connection:
            for start in range(0, len(parts), _CHUNK):
                some = parts[start : start + _CHUNK]
                rows = connection.execute(query.where(_PARTS.part.in_(some), *_valid(version)))
                found.update((part, document) for part, document in rows)
        return found

    def part_numbers(self, version: int) -> list[str]:
        """Return the numbers of all parts of a version, sorted."""
        with self._reading() as connection:
            query = select(_PARTS.part).where(*_valid(version)).order_by(_PARTS.part)
            return list(connection.execute(query).scalars())

    def part_digests(self, version: int) -> dict[str, str]:
        """Return the digest of each part of a version, by its number: what changes is told from what does not."""
        with self._reading() as connection:
            query = select(_PARTS.part, _PARTS.part_digest).where(*_valid(version))
            return {row.part: row.part_digest for row in connection.execute(query)}

    def _stored(self, wanted: Sequence[ColumnElement[bool]], version: int | None, most: int) -> list[StoredPart]:
        narrow = select(_PARTS.row, _PARTS.part, _PARTS.part_digest, _PARTS.from_version)
        query = narrow.where(*wanted, *_valid(version)).order_by(_PARTS.part).limit(most)
        with self._reading() as connection:
            if version is not None and _version(connection, version) is None:
                raise NotFound(f"the catalogue has no version {version}")
            found = connection.execute(query).all()
            documents = _documents(connection, [row.row for row in found])
        return [_stored(row, documents) for row in found]


def _valid(version: int | None) -> tuple[ColumnElement[bool], ...]:
    """Return the conditions that a row of parts is of a version, or of the newest."""
    if version is None:
        return (_PARTS.to_version.is_(None),)
    lasts = or_(_PARTS.to_version.is_(None), _PARTS.to_version > version)
    return (and_(_PARTS.from_version <= version, lasts),)


def _version(connection: Connection, number: int | None) -> CatalogueVersion | None:
    versions = tables.catalogue_versions
    query = select(versions).order_by(versions.c.number.desc()).limit(1)
    if number is not None:
        query = query.where(versions.c.number == number)
    row = connection.execute(query).one_or_none()
    return None if row is None else version_of(row)


def _documents(connection: Connection, rows: Sequence[int]) -> dict[int, str]:
    columns = tables.part_documents.c
    found: dict[int, str] = {}
    for start in range(0, len(rows), _CHUNK):
        query = select(columns.row, columns.document).where(columns.row.in_(rows[start : start + _CHUNK]))
        found.update((row, document) for row, document in connection.execute(query))
    return found


def _stored(row: Any, documents: dict[int, str]) -> StoredPart:
    return StoredPart(row.part, parsed(documents[row.row]), row.part_digest, row.from_version)
