"""Documents in chunks, each with all that it takes to rate them: whoever is sent one needs nothing else."""

from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace
from typing import Any
from typing import Final
from typing import TypeAlias

import msgspec

from sccr.many.outcome import Outcome
from sccr.result import FULL
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part
from sccr.schema.nearest import Names
from sccr.schema.parts_named import parts_named

#: A panel document, or JSON text.
Document: TypeAlias = Mapping[str, Any] | str | bytes

#: Documents in the first chunks and in the later ones: the first results come soon, and sending one costs little of
#: what it takes to rate it.
_FIRST: Final = 25
_MOST: Final = 200
#: A chunk is no longer than this [bytes], or is one document: its results are several times as long.
_MOST_BYTES: Final = 2**18
#: What a component takes that comes as a mapping, about [bytes].
_COMPONENT: Final = 200


@dataclass(frozen=True, slots=True)
class Chunk:
    """Some documents, by their places from `first` on, and how they are to be rated.

    documents: also what has become of one already. catalogue: the parts that they name. derivation: how much of it the
    results have. seconds: how long a rating may take [s]; None: as long as it takes.
    """

    first: int
    documents: tuple[Document | Outcome, ...]
    catalogue: Catalogue | None = None
    derivation: str = FULL
    seconds: float | None = None

    def alone(self) -> Iterator["Chunk"]:
        """Yield each document as a chunk of its own."""
        for place, document in enumerate(self.documents, self.first):
            yield replace(self, first=place, documents=(document,))


def chunks_of(
    documents: Iterable[Document | Outcome], catalogue: Catalogue | None = None, first: int = 1, **how: Any
) -> Iterator[Chunk]:
    """Yield the documents in chunks, the first of them at that place; `how` is what a chunk says of the rating."""
    for some in _groups(documents):
        yield Chunk(first, some, None if catalogue is None else as_named(catalogue, some), **how)
        first += len(some)


def as_named(catalogue: Catalogue, documents: Iterable[Document | Outcome]) -> Catalogue:
    """Return the catalogue as far as documents need it: they are rated, and refused, as with the whole.

    It has those parts that they name; the numbers of all, which a misspelt one is told from, only if they name one
    that is not there.
    """
    found: dict[str, Part] = {}
    missing = False
    for number in named_in(documents):
        part = catalogue.lookup(number)
        if part is None:
            missing = True
        else:
            found[number] = part
    sent = Catalogue(found, catalogue.digest)
    if missing:
        object.__setattr__(sent, "numbers", Names(tuple(catalogue.parts)))
    return sent


def named_in(documents: Iterable[Document | Outcome]) -> Sequence[str]:
    """Return the part numbers that documents name, each once; whatever is no document names none."""
    return tuple(dict.fromkeys(number for document in documents for number in parts_named(_read(document))))


def _groups(documents: Iterable[Document | Outcome]) -> Iterator[tuple[Document | Outcome, ...]]:
    group: list[Document | Outcome] = []
    size, most = 0, _FIRST
    for document in documents:
        length = _length(document)
        if group and (len(group) >= most or size + length > _MOST_BYTES):
            yield tuple(group)
            group, size, most = [], 0, min(_MOST, 2 * most)
        group.append(document)
        size += length
    if group:
        yield tuple(group)


def _length(document: Document | Outcome) -> int:
    """Return about how long a document is [bytes]."""
    if isinstance(document, Outcome):
        return 0
    if isinstance(document, str | bytes):
        return len(document)
    components = document.get("components")
    return _COMPONENT * (len(components) if isinstance(components, list) else 1)


def _read(document: Document | Outcome) -> Any:
    """Return a document as a mapping, without asking whether it is right; one that cannot be read names no part."""
    if not isinstance(document, str | bytes):
        return document
    try:
        return msgspec.json.decode(document)
    except (ValueError, RecursionError):  # of msgspec, too; whoever rates it says what is wrong
        return None
