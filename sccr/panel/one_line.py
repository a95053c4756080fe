"""The one-line diagram: who feeds whom, and what protects what. Only here does the engine know networkx."""

from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass

import networkx as nx

from sccr.panel.component import Component
from sccr.panel.panel import Panel
from sccr.panel.panel import Supply
from sccr.units import MilliAmperes


@dataclass(frozen=True, slots=True)
class Source:
    """What feeds a component: a supply or a component and, behind a transformer, the winding (from 1)."""

    id: str
    winding: int | None = None


def resolved_source(name: str, known: dict[str, Component]) -> Source:
    """Return the source that a `fed_from` names: '-TA1/2' is the second winding of transformer -TA1."""
    if name not in known:
        transformer, slash, number = name.rpartition("/")
        if slash and transformer in known and number.isdecimal():
            return Source(transformer, int(number))
    if name in known and known[name].transformer is not None:
        return Source(name, 1)
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
        self.line_side: dict[str, tuple[Source, ...]] = {
            c.id: tuple(resolved_source(name, self.components) for name in c.fed_from) for c in panel.components
        }
        graph = self._graph()
        #: Component ids from the supplies to the loads; among equals in the order of the document.
        written = {name: place for place, name in enumerate(graph)}
        ordered = nx.lexicographical_topological_sort(graph, key=written.__getitem__)
        self.order: tuple[str, ...] = tuple(name for name in ordered if name in self.components)
        self._upstream = {s.upstream_protection.id: s.id for s in panel.supplies if s.upstream_protection is not None}
        devices = [s.upstream_protection for s in panel.supplies if s.upstream_protection is not None]
        self._devices: dict[str, Component] = {device.id: device for device in (*devices, *panel.components)}
        self._place: dict[str, int] = {name: place for place, name in enumerate(self._devices)}
        self.load_side: dict[str, tuple[str, ...]] = {n: tuple(graph.successors(n)) for n in graph}
        self.protective: frozenset[str] = frozenset(c.id for c in panel.components if c.protective and not c.in_field)
        self.protection: dict[str, frozenset[str | None]] = self._nearest_protection()
        self.power_protection_behind: frozenset[str] = frozenset(self._ahead_of_power_protection())
        self._motors: dict[str, Motors] = {}

    def with_parts(self, parts: Mapping[str, Component]) -> "OneLine":
        """Return the same diagram with other parts in some places, each of the same kind and as protective."""
        other = copy(self)
        other.components = {**self.components, **parts}
        other._devices = {**self._devices, **parts}
        other._motors = {}
        return other

    def _graph(self) -> "nx.DiGraph[str]":
        graph: nx.DiGraph[str] = nx.DiGraph()
        graph.add_nodes_from(self.supplies)
        graph.add_nodes_from(self.components)
        graph.add_edges_from((source.id, c) for c, sources in self.line_side.items() for source in sources)
        return graph

    def _nearest_protection(self) -> dict[str, frozenset[str | None]]:
        """Return the nearest overcurrent protective devices ahead of each component, one a path."""
        nearest: dict[str, frozenset[str | None]] = {}
        for supply in self.panel.supplies:
            upstream = supply.upstream_protection
            nearest[supply.id] = frozenset([upstream.id if upstream else None])
        for name in self.order:
            found = [
                frozenset[str | None]([source.id]) if source.id in self.protective else nearest[source.id]
                for source in self.line_side[name]
            ]
            nearest[name] = found[0] if len(found) == 1 else frozenset[str | None]().union(*found)
        return nearest

    def _ahead_of_power_protection(self) -> Iterator[str]:
        """Yield what has a power-circuit protective device somewhere on its load side."""
        ahead: set[str] = set()
        for name in reversed(self.order):
            if any(self._power_protection(child) or child in ahead for child in self.load_side[name]):
                ahead.add(name)
                yield name

    def _power_protection(self, name: str) -> bool:
        return name in self.protective and not self.components[name].control

    def device(self, name: str) -> Component:
        """Return a protective device by its id: a component, or the upstream protection of a supply."""
        return self._devices[name]

    def nearest_protection(self, name: str) -> list[str | None]:
        """Return the nearest protective devices ahead in the order of the document, `None` first."""
        found = self.protection[name]
        return sorted(found, key=lambda device: -1 if device is None else self._place[device]) if found else []

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
            motors = [
                c for c in (self.components[n] for n in sorted(reached, key=self._place.__getitem__)) if c.kind.motor
            ]
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
