"""The circuits that the diagram shows: feeders, branches and control circuits, each with its own rating."""

from collections.abc import Callable
from collections.abc import Collection
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass

from sccr.panel.component import Component
from sccr.panel.one_line import OneLine
from sccr.panel.wiring import Wiring
from sccr.result import Circuit
from sccr.units import MilliAmperes

#: The components of circuits, once each in their order.
Members = dict[str, dict[str, None]]


def branch_devices(one_line: OneLine, component: Component) -> tuple[str | None, ...]:
    """Return the devices whose branch a component belongs to: the nearest ahead, or the fuses that it carries."""
    if component.kind.carries_fuse:
        fuses = one_line.carried_fuses(component.id)
        if fuses:
            return tuple(fuse.id for fuse in fuses)
    return one_line.nearest_protection(component.id)


@dataclass(frozen=True, slots=True)
class _Lister:
    """What circuits are listed from: the wiring, the circuit of each component in words, the rating of several."""

    case: Wiring
    voltages: Mapping[str, str]
    rating: Callable[[Iterable[str]], MilliAmperes | None]

    def listed(self) -> Iterator[Circuit]:
        case, one_line = self.case, self.case.one_line
        feeder, branch, supply_side = self._members()
        for supply in case.panel.supplies:
            names = supply_side.get(supply.id)
            upstream = supply.upstream_protection.id if supply.upstream_protection else None
            if names:
                text = supply.voltage.text
                yield Circuit(supply.id, "supply", upstream, tuple(names), text, self.rating(names))
        for name, component in one_line.in_order():
            if name not in one_line.protective:
                continue
            if name in one_line.power_protection_behind:
                yield self._circuit(name, "feeder", feeder.get(name, ()))
            parts = branch.get(name, ())
            if parts or name not in one_line.power_protection_behind:
                yield self._circuit(name, "control" if self._control_only(component, parts) else "branch", parts)

    def _members(self) -> tuple[Members, Members, Members]:
        """Return the components of each feeder, each branch, and each supply circuit."""
        feeder: Members = {}
        branch: Members = {}
        supply_side: Members = {}
        one_line, upstream = self.case.one_line, self.case.upstream
        for name, component in one_line.in_order():
            if name in one_line.protective:
                continue
            in_feeder = name in one_line.feeders
            ahead = one_line.nearest_protection(name) if in_feeder else branch_devices(one_line, component)
            for device in ahead:
                if device is None or device in upstream:
                    for feed in self.case.feeds.incoming[name]:
                        supply_side.setdefault(feed.origin, {})[name] = None
                else:
                    (feeder if in_feeder else branch).setdefault(device, {})[name] = None
        return feeder, branch, supply_side

    def _control_only(self, device: Component, parts: Collection[str]) -> bool:
        if not parts:
            return device.control
        components = self.case.one_line.components
        return all(components[part].control or components[part].kind.transformer for part in parts)

    def _circuit(self, device: str, kind: str, parts: Iterable[str]) -> Circuit:
        names = (device, *parts)
        return Circuit(device, kind, device, names, self.voltages[device], self.rating(names))


def circuits(
    case: Wiring, voltages: Mapping[str, str], rating: Callable[[Iterable[str]], MilliAmperes | None]
) -> tuple[Circuit, ...]:
    """Return the supply circuits, then each protective device's feeder, branch or control circuit.

    voltages: the circuit of each component in words; rating: of several components [mA], None where nothing counts.
    """
    return tuple(_Lister(case, voltages, rating).listed())
