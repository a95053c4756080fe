"""The panels that are to be rated, read from the store in chunks: never more of them in memory than a few chunks."""

from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from itertools import islice
from typing import Any
from typing import Final

from ..store import Store
from .proposal import Proposal
from .rating import Chunk
from .rating import StoredPanel
from .touched import Touched

#: A chunk is of so many panels at most, and no longer than so many characters, or is one panel.
_PANELS: Final = 100
_CHARACTERS: Final = 2**21
#: Panels that are read at once; the longest have some megabytes each.
_READ: Final = 10


def chunks_of(store: Store, proposal: Proposal, touched: Iterable[Touched]) -> Iterator[Chunk]:
    """Yield the panels in chunks, as they are found."""
    group: list[StoredPanel] = []
    named: set[str] = set()
    size = 0
    for panel, parts in _stored(store, touched):
        length = len(panel.document) + len(panel.result)
        if group and (len(group) == _PANELS or size + length > _CHARACTERS):
            yield _chunk(store, proposal, group, named)
            group, named, size = [], set(), 0
        group.append(panel)
        named.update(parts)
        size += length
    if group:
        yield _chunk(store, proposal, group, named)


def chunk_of(store: Store, proposal: Proposal, places: Sequence[Mapping[str, Any]], parts: Iterable[str]) -> Chunk:
    """Return the chunk of some panels, by their places and the parts that they name."""
    texts = store.record_texts([place["record"] for place in places])
    return _chunk(store, proposal, [StoredPanel(place, *texts[place["record"]]) for place in places], parts)


def place_of(touched: Touched) -> dict[str, Any]:
    """Return where a panel is stored, as it is told with its impact."""
    panel = touched.panel
    return {
        "order": panel.order,
        "designation": panel.designation,
        "revision": panel.revision,
        "record": panel.record,
        "shipped_at": panel.shipped_at,
        "changed_parts": list(touched.parts),
    }


def _stored(store: Store, touched: Iterable[Touched]) -> Iterator[tuple[StoredPanel, tuple[str, ...]]]:
    waiting = iter(touched)
    while some := list(islice(waiting, _READ)):
        texts = store.record_texts([each.panel.record for each in some])
        for each in some:
            yield StoredPanel(place_of(each), *texts[each.panel.record]), each.panel.parts


def _chunk(store: Store, proposal: Proposal, panels: Sequence[StoredPanel], named: Iterable[str]) -> Chunk:
    return Chunk(tuple(panels), _documents(store, proposal, sorted(named)), proposal.digest)


def _documents(store: Store, proposal: Proposal, parts: Sequence[str]) -> dict[str, str]:
    """Return those of the parts that there are to be, as they are to be."""
    own = {part: document for part in parts if (document := proposal.parts.get(part)) is not None}
    if proposal.base is None:
        return own
    rest = [part for part in parts if part not in proposal.parts]
    return {**store.part_documents(rest, proposal.base), **own}
