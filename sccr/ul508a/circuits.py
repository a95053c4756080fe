"""The circuits that the diagram shows: feeders, branches and control circuits, each with its own rating."""

from collections.abc import Collection
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping

from sccr.panel.component import Component
from sccr.result import Circuit
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.rules.sb4_3_branch_credits import branch_devices
from sccr.ul508a.subject import Subject
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes


def circuits(found: Assessment, withheld: bool, voltages: Mapping[str, str]) -> Iterator[Circuit]:
    """Yield the supply circuits, then each protective device's feeder, branch or control circuit.

    voltages: the circuit of each component in words.
    """
    case, one_line = found.case, found.case.one_line
    feeder, branch, supply_side = _members(case)
    for supply in case.panel.supplies:
        names = supply_side.get(supply.id)
        upstream = supply.upstream_protection.id if supply.upstream_protection else None
        if names:
            current = None if withheld else circuit_current(found, names)
            yield Circuit(supply.id, "supply", upstream, tuple(names), supply.voltage.text, current)
    for name, component in one_line.in_order():
        if name not in one_line.protective:
            continue
        if name in one_line.power_protection_behind:
            yield _circuit(found, name, "feeder", feeder.get(name, ()), withheld, voltages[name])
        parts = branch.get(name, ())
        if parts or name not in one_line.power_protection_behind:
            kind = "control" if _control_only(case, component, parts) else "branch"
            yield _circuit(found, name, kind, parts, withheld, voltages[name])


#: The components of circuits, once each in their order.
Members = dict[str, dict[str, None]]


def _members(case: Subject) -> tuple[Members, Members, Members]:
    """Return the components of each feeder, each branch, and each supply circuit."""
    feeder: Members = {}
    branch: Members = {}
    supply_side: Members = {}
    protective, upstream = case.one_line.protective, case.upstream
    for name, component in case.one_line.in_order():
        if name in protective:
            continue
        in_feeder = name in case.one_line.feeders
        ahead = case.one_line.nearest_protection(name) if in_feeder else branch_devices(case, component)
        for device in ahead:
            if device is None or device in upstream:
                for feed in case.feeds.incoming[name]:
                    supply_side.setdefault(feed.origin, {})[name] = None
            else:
                (feeder if in_feeder else branch).setdefault(device, {})[name] = None
    return feeder, branch, supply_side


def _control_only(case: Subject, device: Component, parts: Collection[str]) -> bool:
    if not parts:
        return device.control
    components = case.one_line.components
    return all(components[part].control or components[part].kind.transformer for part in parts)


def _circuit(found: Assessment, device: str, kind: str, parts: Iterable[str], withheld: bool, voltage: str) -> Circuit:
    names = (device, *parts)
    return Circuit(device, kind, device, names, voltage, None if withheld else circuit_current(found, names))


def circuit_current(found: Assessment, names: Iterable[str]) -> MilliAmperes | None:
    """Return the lowest value in a circuit [mA], None where nothing in it counts."""
    after = found.after
    current = min([after[name].current for name in names if name in after], default=UNLIMITED)
    return None if current >= UNLIMITED else current
