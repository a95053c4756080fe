"""Panels rated again in chunks, each with all that it takes: whoever is sent one needs no database, and no service."""

import json
import logging
from collections.abc import Generator
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace
from functools import lru_cache
from itertools import chain
from typing import Any
from typing import Final

import msgspec

from sccr.errors import OutOfTime
from sccr.impact import Impact
from sccr.impact import Marked
from sccr.impact import impact
from sccr.impact import unknown
from sccr.many import Executor
from sccr.many.in_time import in_time
from sccr.schema.catalogue import FORMAT
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part

from .entries import Entry
from .entries import entry_of

#: Reads what a panel is marked with, and passes over the rest.
_HEAD: Final = msgspec.json.Decoder(Marked)
_LOG: Final = logging.getLogger("sccr.service")


@dataclass(frozen=True, slots=True)
class StoredPanel:
    """A panel of the fleet with its document and its rating as they are kept, in JSON; place: where it is stored."""

    place: Mapping[str, Any]
    document: str
    result: str


@dataclass(frozen=True, slots=True)
class Chunk:
    """Some panels, the documents of the parts that they name, and the digest of the whole catalogue (None: none).

    seconds: how long a rating may take [s]; None: as long as it takes.
    """

    panels: tuple[StoredPanel, ...]
    parts: Mapping[str, str]
    digest: str | None
    seconds: float | None = None

    def alone(self) -> Iterator["Chunk"]:
        """Yield each panel as a chunk of its own."""
        for panel in self.panels:
            yield replace(self, panels=(panel,))


def rate_chunks(by: Executor, chunks: Iterable[Chunk]) -> Generator[list[Entry], None, None]:
    """Yield what becomes of the panels of each chunk, in order.

    A chunk that ends whoever rates it is rated panel by panel: only one that does so again is not known.
    """

    def alone(chunk: Chunk) -> list[Entry]:
        return [*chain.from_iterable(by.map(entries_of, chunk.alone(), _given_up))]

    yield from by.map(entries_of, chunks, alone)


def entries_of(chunk: Chunk) -> list[Entry]:
    """Return what becomes of the panels of a chunk. It needs nothing but the chunk."""
    catalogue = None
    if chunk.digest is not None:
        catalogue = Catalogue({part: _part(document) for part, document in chunk.parts.items()}, chunk.digest)
    return [entry_of(panel.place, _impact(panel, catalogue, chunk.seconds)) for panel in chunk.panels]


def _given_up(chunk: Chunk) -> list[Entry]:
    """Return what is told of panels from which nobody came back."""
    why = "it ended each process that was to rate it, as one does that takes more memory than there is"
    return [entry_of(panel.place, unknown(json.loads(panel.result), why)) for panel in chunk.panels]


def _impact(panel: StoredPanel, catalogue: Catalogue | None, seconds: float | None) -> Impact:
    """Return the impact on a panel; one on which the engine fails must not keep the others from theirs."""
    result = _HEAD.decode(panel.result)

    def rated() -> Impact:
        return impact(json.loads(panel.document), result, catalogue, lambda: json.loads(panel.result))

    try:
        return rated() if seconds is None else in_time(seconds, rated)
    except OutOfTime as error:
        return unknown(result, str(error))
    except Exception as error:
        _LOG.error("panel not rated again", exc_info=error, extra={"fields": {"record": panel.place["record"]}})
        return unknown(result, "the engine failed on it; the log holds the cause")


@lru_cache(maxsize=8192)
def _part(document: str) -> Part:
    """Return the part of a canonical document: the same text is always the same part."""
    entry = json.loads(document)
    return Catalogue.from_document({"format": FORMAT, "parts": [entry]}).parts[entry["part"]]
