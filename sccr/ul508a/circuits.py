"""The circuits that the diagram shows: feeders, branches and control circuits, each with its own rating."""

from collections.abc import Iterator

from sccr.panel.component import Component
from sccr.result import Circuit
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.rules.sb4_3_branch_credits import branch_devices
from sccr.ul508a.rules.sb4_3_branch_credits import is_feeder
from sccr.ul508a.subject import Subject
from sccr.ul508a.subject import system_text
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes


def circuits(found: Assessment, withheld: bool) -> Iterator[Circuit]:
    """Yield the supply circuits, then each protective device's feeder, branch or control circuit."""
    case = found.case
    feeder, branch, supply_side = _members(case)
    for supply in case.panel.supplies:
        names = tuple(supply_side.get(supply.id, ()))
        upstream = supply.upstream_protection.id if supply.upstream_protection else None
        if names:
            yield _circuit(found, supply.id, "supply", upstream, names, withheld)
    for name in case.one_line.order:
        if name not in case.one_line.protective:
            continue
        if name in case.one_line.power_protection_behind:
            yield _circuit(found, name, "feeder", name, tuple(feeder.get(name, ())), withheld)
        parts = tuple(branch.get(name, ()))
        if parts or name not in case.one_line.power_protection_behind:
            kind = "control" if _control_only(case, case.one_line.components[name], parts) else "branch"
            yield _circuit(found, name, kind, name, parts, withheld)


def role(case: Subject, component: Component, exempt: bool) -> str:
    """Return 'feeder', 'branch' or 'control' for a component."""
    if exempt and component.control:
        return "control"
    return "feeder" if is_feeder(case, component) else "branch"


def _members(case: Subject) -> tuple[dict[str, list[str]], dict[str, list[str]], dict[str, list[str]]]:
    """Return the components of each feeder, each branch, and each supply circuit."""
    feeder: dict[str, list[str]] = {}
    branch: dict[str, list[str]] = {}
    supply_side: dict[str, list[str]] = {}
    upstream = {s.upstream_protection.id: s.id for s in case.panel.supplies if s.upstream_protection}
    for name in case.one_line.order:
        component = case.one_line.components[name]
        if name in case.one_line.protective:
            continue
        in_feeder = is_feeder(case, component)
        ahead = case.one_line.nearest_protection(name) if in_feeder else branch_devices(case, component)
        for device in ahead:
            if device is None or device in upstream:
                for feed in case.feeds.incoming[name]:
                    supply_side.setdefault(feed.origin, []).append(name)
            else:
                where = feeder if in_feeder else branch
                where.setdefault(device, []).append(name)
    return feeder, branch, supply_side


def _control_only(case: Subject, device: Component, parts: tuple[str, ...]) -> bool:
    if not parts:
        return device.control
    return all(case.one_line.components[part].control or _neutral(case, part) for part in parts)


def _neutral(case: Subject, name: str) -> bool:
    return case.one_line.components[name].kind.transformer


def _circuit(
    found: Assessment, identifier: str, kind: str, device: str | None, parts: tuple[str, ...], withheld: bool
) -> Circuit:
    case = found.case
    feeds = case.feeds.own.get(identifier) or case.feeds.incoming.get(parts[0] if parts else "", ())
    supply = case.one_line.supplies.get(identifier)
    voltage = supply.voltage.text if supply else (system_text(feeds[0]) if feeds else "")
    names = tuple(dict.fromkeys([*([identifier] if supply is None else []), *parts]))
    return Circuit(identifier, kind, device, names, voltage, None if withheld else circuit_current(found, names))


def circuit_current(found: Assessment, names: tuple[str, ...]) -> MilliAmperes | None:
    """Return the lowest value in a circuit [mA], None where nothing in it counts."""
    current = min((found.after[name].current for name in names if name in found.after), default=UNLIMITED)
    return None if current >= UNLIMITED else current
