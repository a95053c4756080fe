"""A catalogue to rate by that reads from the store what is asked of it."""

from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import nlargest
from itertools import pairwise
from typing import Final
from typing import Protocol

from sccr.schema.catalogue import FORMAT
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part
from sccr.schema.strict_json import decode

from .column_types import storable
from .parts import CatalogueVersion

#: A catalogue with no more parts than this is compared as it is.
_FEW: Final = 2_000
#: How many names of a larger one are offered for comparison, and how often one catalogue does so.
_OFFERED: Final = 200
_TIMES: Final = 10


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
        self._compared = 0

    def fetch(self, parts: Sequence[str]) -> None:
        """Read several parts at once."""
        wanted = [part for part in parts if part not in self._known]
        documents = self._source.part_documents([part for part in wanted if storable(part)], self._version.number)
        for part in wanted:
            self._known[part] = _read(documents[part]) if part in documents else None

    def near_to(self, part: str) -> Collection[str]:
        """Return the part numbers that an unknown one is compared with."""
        if len(self) <= _FEW:
            return self
        self._compared += 1
        if self._compared > _TIMES:  # a document of nothing but unknown parts must not take minutes
            return ()
        wanted = _pairs(part)
        return nlargest(_OFFERED, self, key=lambda known: _likeness(wanted, _pairs(known)))

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

    def near_to(self, part: str) -> Collection[str]:
        """Return the part numbers that an unknown one is compared with: those that share most pairs of characters.

        To compare it with every one of fifty thousand would take seconds for each misspelt part.
        """
        return self.stored.near_to(part)


@lru_cache(maxsize=8192)
def _read(document: str) -> Part:
    """Return the part of a canonical document: the same text is always the same part."""
    entry = decode(document)
    return Catalogue.from_document({"format": FORMAT, "parts": [entry]}).parts[entry["part"]]


def _likeness(one: frozenset[str], other: frozenset[str]) -> float:
    return len(one & other) / (len(one) + len(other) or 1)


def _pairs(name: str) -> frozenset[str]:
    folded = "".join(character for character in name.casefold() if character.isalnum())
    return frozenset(map("".join, pairwise(folded)))
