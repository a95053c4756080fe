"""Which panels of the fleet a change touches, found by indexes; all others would be rated as they were.

A rating follows from the document, the parts that it names, the engine and its tables, and from nothing else. So a
panel is touched where one of its parts differs from what it was when the panel was rated, or where it was rated by
another engine or other tables than those of today. What was rated without a catalogue is touched if it names a part.
"""

from collections.abc import Iterator
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from sccr import __version__
from sccr.editions import rule_set
from sccr.errors import UnknownEdition

from ..store import FleetMethod
from ..store import FleetPanel
from ..store import PartState
from ..store import Store
from .proposal import Proposal

#: Panels that are found at once.
_PAGE: Final = 500


@dataclass(frozen=True, slots=True)
class Touched:
    """A panel that is to be rated, and those of its parts that differ from what they were.

    by_engine: whether it was rated by another engine or other tables than those of today.
    """

    panel: FleetPanel
    parts: tuple[str, ...]
    by_engine: bool

    @property
    def is_touched(self) -> bool:
        """Whether it is touched at all; the full run rates the others, too."""
        return bool(self.parts) or self.by_engine


class Reach:
    """How far a change of the catalogue, or of the engine since the panels were rated, reaches into the fleet."""

    def __init__(self, store: Store, proposal: Proposal) -> None:
        self._store = store
        self._methods = store.fleet_methods()
        self._has_catalogue = proposal.digest is not None
        self._others = tuple(method for method in self._methods if not _of_today(method))
        self._stale = _stale(store, proposal, self._methods)

    @property
    def engine_changed(self) -> bool:
        """Whether records were made by another engine or other tables than those of today, and so all their panels."""
        return bool(self._others)

    def every(self) -> Iterator[Touched]:
        """Yield every panel of the fleet, touched or not."""
        for method in self._methods:
            yield from self._of_method(method)

    def touched(self) -> Iterator[Touched]:
        """Yield the panels that are touched, each once."""
        for method in self._methods:
            if method in self._others or method.catalogue_version is None:
                yield from (each for each in self._of_method(method) if each.is_touched)
        for part in self._stale:
            yield from self._of_part(part)

    def _of_method(self, method: FleetMethod) -> Iterator[Touched]:
        after: str | None = ""
        while after is not None:
            page = self._store.fleet_by_method(method, after, _PAGE)
            yield from (Touched(panel, self._differing(panel), method in self._others) for panel in page.items)
            after = page.next

    def _of_part(self, part: str) -> Iterator[Touched]:
        """Yield the panels of which this is the first part that differs: those of an earlier one had their turn."""
        after: str | None = ""
        while after is not None:
            page = self._store.fleet_naming(part, after, _PAGE)
            for panel in page.items:
                if panel.method.catalogue_version is None or panel.method in self._others:
                    continue  # found by its method
                differing = self._differing(panel)
                if differing and differing[0] == part:
                    yield Touched(panel, differing, by_engine=False)
            after = page.next

    def _differing(self, panel: FleetPanel) -> tuple[str, ...]:
        """Return those parts of a panel that differ from what they were when it was rated, by their numbers."""
        version = panel.method.catalogue_version
        if version is None:
            return panel.parts if self._has_catalogue else ()
        return tuple(part for part in panel.parts if any(each.holds(version) for each in self._stale.get(part, ())))


def _stale(store: Store, proposal: Proposal, methods: Sequence[FleetMethod]) -> dict[str, list[PartState]]:
    """Return the parts that differ from what panels were rated with: by their numbers, with the states of then."""
    versions = {method.catalogue_version for method in methods if method.catalogue_version is not None}
    found: dict[str, list[PartState]] = {}
    for part, states in store.states_of_used_parts():
        digest = _digest(proposal, part, states)
        stale = [each for each in states if each.digest != digest and any(map(each.holds, versions))]
        if stale:
            found[part] = stale
    return found


def _digest(proposal: Proposal, part: str, states: Sequence[PartState]) -> str | None:
    """Return the digest of a part as it is to be, None where it is gone."""
    if part in proposal.parts:
        return proposal.digests.get(part)
    base = proposal.base
    return None if base is None else next((each.digest for each in states if each.holds(base)), None)


@cache
def _of_today(method: FleetMethod) -> bool:
    """Whether a method is that of this engine; its tables are read once."""
    try:
        return method.engine_version == __version__ and method.tables_digest == rule_set(method.edition).tables_digest()
    except UnknownEdition:
        return False
