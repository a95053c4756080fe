"""The one-line diagram: who feeds whom, and what protects what. Only here does the engine know networkx."""

from collections.abc import Callable
from collections.abc import Collection
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass
from typing import NamedTuple

from sccr.panel.component import Component
from sccr.panel.panel import Panel
from sccr.panel.panel import Supply
from sccr.units import MilliAmperes


class Source(NamedTuple):
    """What feeds a component: a supply or a component and, behind a transformer, the winding (from 1)."""

    id: str
    winding: int | None = None


def resolved_source(name: str, known: dict[str, Component]) -> Source:
    """Return the source that a `fed_from` names: '-TA1/2' is the second winding of transformer -TA1."""
    component = known.get(name)
    if component is not None:
        return Source(name, None if component.transformer is None else 1)
    transformer, slash, number = name.rpartition("/")
    if slash and transformer in known and number.isdecimal():
        return Source(transformer, int(number))
    return Source(name)


@dataclass(frozen=True, slots=True)
class Motors:
    """The motors behind a device: the sum of their stated full-load currents [mA], and those that state none."""

    full_load_current: MilliAmperes
    unstated: tuple[str, ...]


class OneLine:
    """The panel as a directed acyclic graph from its supplies to its loads.

    `None` among the protective devices of a component says that there is a path with none.
    """

    def __init__(self, panel: Panel) -> None:
        self.panel = panel
        self.supplies: dict[str, Supply] = {supply.id: supply for supply in panel.supplies}
        self.components: dict[str, Component] = {c.id: c for c in panel.components}
        self.line_side: dict[str, tuple[Source, ...]] = self._sources()
        self.load_side: dict[str, tuple[str, ...]] = self._fed()
        #: Component ids from the supplies to the loads; among equals in the order of the document.
        self.order: tuple[str, ...] = self._from_supplies_to_loads()
        self._upstream = {s.upstream_protection.id: s.id for s in panel.supplies if s.upstream_protection is not None}
        devices = [s.upstream_protection for s in panel.supplies if s.upstream_protection is not None]
        self._devices: dict[str, Component] = {**{device.id: device for device in devices}, **self.components}
        self._places: dict[str, int] | None = None
        self.protective: frozenset[str] = frozenset([c.id for c in panel.components if c.protective and not c.in_field])
        self.protection: dict[str, frozenset[str | None]] = self._nearest_protection()
        self._in_order = {found: self._sorted(found) for found in set(self.protection.values())}
        #: What has a path from a supply on which there is no protective device.
        self.unprotected: frozenset[str] = frozenset([n for n, found in self.protection.items() if None in found])
        power = frozenset([name for name in self.protective if not self.components[name].control])
        #: What has a protective device somewhere on its load side, and what has one of a power circuit.
        self.protection_behind: frozenset[str] = self._ahead_of(self.protective)
        self.power_protection_behind: frozenset[str] = (
            self.protection_behind if power == self.protective else self._ahead_of(power)
        )
        #: What belongs to a feeder; a holder goes with the fuse that it carries.
        self.feeders: frozenset[str] = self._feeders()
        self._motors: dict[str, Motors] = {}

    def with_parts(self, parts: Mapping[str, Component]) -> "OneLine":
        """Return the same diagram with other parts in some places, each of the same kind and as protective."""
        other = copy(self)
        other.components = {**self.components, **parts}
        other._devices = {**self._devices, **parts}
        other._motors = {}
        return other

    def _sources(self) -> dict[str, tuple[Source, ...]]:
        resolved: dict[tuple[str, ...], tuple[Source, ...]] = {}  # many components hang on one bus
        found, known = {}, self.components
        for component in self.panel.components:
            fed_from = component.fed_from
            sources = resolved.get(fed_from)
            if sources is None:
                if len(fed_from) == 1:
                    sources = (resolved_source(fed_from[0], known),)
                else:
                    sources = tuple([resolved_source(name, known) for name in fed_from])
                resolved[fed_from] = sources
            found[component.id] = sources
        return found

    def _fed(self) -> dict[str, tuple[str, ...]]:
        """Return what each supply and component feeds, once each, in the order of the document."""
        fed: dict[str, list[str]] = {}
        for name, sources in self.line_side.items():
            for source in sources:
                children = fed.setdefault(source.id, [])
                if not children or children[-1] != name:  # two windings of a transformer are one source
                    children.append(name)
        return {name: tuple(fed[name]) if name in fed else () for name in (*self.supplies, *self.components)}

    def _from_supplies_to_loads(self) -> tuple[str, ...]:
        """Return the components in their order: as they are written, where each stands after all that feeds it."""
        seen = set(self.supplies)
        for name, sources in self.line_side.items():
            for source in sources:
                if source.id not in seen:
                    return self._sorted_by_networkx()
            seen.add(name)
        return tuple(self.components)

    def _sorted_by_networkx(self) -> tuple[str, ...]:
        import networkx as nx  # 0.1 s that a document in order does without

        written = {name: place for place, name in enumerate(self.load_side)}
        graph: nx.DiGraph[str] = nx.DiGraph()
        graph.add_nodes_from(written)
        graph.add_edges_from((source.id, c) for c, sources in self.line_side.items() for source in sources)
        ordered = nx.lexicographical_topological_sort(graph, key=written.__getitem__)
        return tuple(name for name in ordered if name in self.components)

    def _nearest_protection(self) -> dict[str, frozenset[str | None]]:
        """Return the nearest overcurrent protective devices ahead of each component, one a path."""
        nearest: dict[str, frozenset[str | None]] = {}
        behind: dict[str, frozenset[str | None]] = {}
        for supply in self.panel.supplies:
            upstream = supply.upstream_protection
            nearest[supply.id] = behind[supply.id] = frozenset([upstream.id if upstream else None])
        for name in self.order:
            sources = self.line_side[name]
            found = behind[sources[0].id]
            if len(sources) > 1:
                found = found.union(*(behind[source.id] for source in sources))
            nearest[name] = found
            behind[name] = frozenset((name,)) if name in self.protective else found
        return nearest

    def _sorted(self, devices: Collection[str | None]) -> tuple[str | None, ...]:
        if len(devices) == 1:
            return tuple(devices)
        place = self._place()
        return tuple(sorted(devices, key=lambda device: -1 if device is None else place[device]))

    def _place(self) -> dict[str, int]:
        """Return where each device and component is written, supplies' protection first; few panels ask."""
        if self._places is None:
            self._places = {name: place for place, name in enumerate(self._devices)}
        return self._places

    def _ahead_of(self, devices: frozenset[str]) -> frozenset[str]:
        """Return the components that have one of these devices somewhere on their load side."""
        ahead: set[str] = set()
        for name in reversed(self.order):
            if name in ahead or name in devices:
                for source in self.line_side[name]:
                    ahead.add(source.id)
        return frozenset(ahead.intersection(self.components))

    def _feeders(self) -> frozenset[str]:
        found = set(self.power_protection_behind)
        for component in self.panel.components:
            fuses = self.carried_fuses(component.id) if component.kind.carries_fuse else ()
            if fuses and not any(fuse.id in self.power_protection_behind for fuse in fuses):
                found.discard(component.id)
        return frozenset(found)

    def in_order(self) -> Iterator[tuple[str, Component]]:
        """Yield the components by their ids from the supplies to the loads."""
        return zip(self.order, map(self.components.__getitem__, self.order), strict=True)

    def device(self, name: str) -> Component:
        """Return a protective device by its id: a component, or the upstream protection of a supply."""
        return self._devices[name]

    def nearest_protection(self, name: str) -> tuple[str | None, ...]:
        """Return the nearest protective devices ahead in the order of the document, `None` first."""
        return self._in_order[self.protection[name]]

    def carried_fuses(self, holder: str) -> tuple[Component, ...]:
        """Return the fuses that a fuseholder or fused switch carries: those fed from it directly."""
        children = (self.components[child] for child in self.load_side[holder])
        return tuple(child for child in children if child.kind.name == "fuse")

    def holders(self, fuse: str) -> tuple[Component, ...]:
        """Return the fuseholders and fused switches that feed a fuse directly."""
        sources = (self.components.get(source.id) for source in self.line_side[fuse])
        return tuple(source for source in sources if source is not None and source.kind.carries_fuse)

    def motors_behind(self, name: str) -> Motors:
        """Return the motors on the load side of a device, or of a supply by its upstream protection."""
        found = self._motors.get(name)
        if found is None:
            reached = self.load_side_of(self._upstream.get(name, name))
            written = sorted(reached, key=self._place().__getitem__)
            motors = [c for c in (self.components[n] for n in written) if c.kind.motor]
            unstated = tuple(motor.id for motor in motors if motor.full_load_current is None)
            found = self._motors[name] = Motors(sum(motor.full_load_current or 0 for motor in motors), unstated)
        return found

    def ends(self) -> Iterator[str]:
        """Yield the components that feed nothing."""
        return (name for name in self.order if not self.load_side[name])

    def load_side_of(self, start: str) -> set[str]:
        """Return everything on the load side of a component."""
        return self._reached(start, lambda name: self.load_side[name])

    def line_side_of(self, start: str) -> set[str]:
        """Return everything, supplies included, on the line side of a component."""
        return self._reached(start, lambda name: (s.id for s in self.line_side.get(name, ())))

    @staticmethod
    def _reached(start: str, step: Callable[[str], Iterable[str]]) -> set[str]:
        seen: set[str] = set()
        waiting = [start]
        while waiting:
            for name in step(waiting.pop()):
                if name not in seen:
                    seen.add(name)
                    waiting.append(name)
        return seen
