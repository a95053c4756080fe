"""A catalogue to rate by that reads from the store what is asked of it."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from sccr.schema.catalogue import FORMAT
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part
from sccr.schema.strict_json import decode

from .column_types import storable
from .parts import CatalogueVersion


class _Source(Protocol):
    def part_documents(self, parts: Sequence[str], version: int) -> dict[str, str]: ...

    def part_numbers(self, version: int) -> list[str]: ...


class StoredParts(Mapping[str, Part]):
    """The parts of a version; each is read when it is first asked for."""

    def __init__(self, source: _Source, version: CatalogueVersion) -> None:
        self._source = source
        self._version = version
        self._known: dict[str, Part | None] = {}
        self._numbers: list[str] | None = None

    def fetch(self, parts: Sequence[str]) -> None:
        """Read several parts at once, and where one is not there the numbers of all, to tell which is near to it.

        Whoever rates may be stopped anywhere (`rate_in_time`), and must not be in the middle of reading then.
        """
        wanted = [part for part in parts if part not in self._known]
        if not wanted:
            return
        documents = self._source.part_documents([part for part in wanted if storable(part)], self._version.number)
        for part in wanted:
            self._known[part] = _read(documents[part]) if part in documents else None
        if len(documents) < len(wanted):
            iter(self)

    def __getitem__(self, part: str) -> Part:
        if part not in self._known:
            self.fetch([part])
        found = self._known[part]
        if found is None:
            raise KeyError(part)
        return found

    def __iter__(self) -> Iterator[str]:
        if self._numbers is None:
            self._numbers = self._source.part_numbers(self._version.number)
        return iter(self._numbers)

    def __len__(self) -> int:
        return self._version.parts


@dataclass(frozen=True, slots=True, eq=False)
class StoredCatalogue(Catalogue):
    """A version of the stored catalogue, as `sccr.rate` takes it."""

    version: int = 0

    @property
    def stored(self) -> StoredParts:
        """The parts, as they are read from the store."""
        assert isinstance(self.parts, StoredParts)
        return self.parts


@lru_cache(maxsize=8192)
def _read(document: str) -> Part:
    """Return the part of a canonical document: the same text is always the same part."""
    entry = decode(document)
    return Catalogue.from_document({"format": FORMAT, "parts": [entry]}).parts[entry["part"]]
