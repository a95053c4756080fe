"""SB4.2: which components need a rating, which are exempt and why (method, section 2)."""

from dataclasses import dataclass

from sccr.panel.component import Component
from sccr.panel.component import Position
from sccr.panel.one_line import OneLine
from sccr.ul508a.subject import Subject
from sccr.ul508a.subject import is_wye_point

CLAUSE = "SB4.2"


@dataclass(frozen=True, slots=True)
class Scope:
    """Which components count and which do not, each with its reason; `needless`: the panel has no power circuit."""

    counted: frozenset[str]
    exempt: dict[str, str]
    needless: bool


def scope(case: Subject) -> Scope:
    """Return what counts for the rating.

    A control circuit counts up to the device that taps power for it; behind a device that feeds no further
    power-circuit protective device its parts are exempt.
    """
    one_line = case.one_line
    guarded = _guarded(case) if any(component.control for component in case.panel.components) else frozenset[str]()
    exempt: dict[str, str] = {}
    for component in case.panel.components:
        reason = _exemption(case, component, guarded)
        if reason:
            exempt[component.id] = reason
    counted = frozenset(name for name in one_line.order if name not in exempt)
    needless = _control_only(case, counted)
    return Scope(frozenset() if needless else counted, exempt, needless)


def _guarded(case: Subject) -> frozenset[str]:
    """Return what stands behind a device that feeds no further power-circuit protective device, less what taps it."""
    one_line = case.one_line
    behind = _behind(one_line, one_line.protective - one_line.power_protection_behind)
    control = frozenset(name for name in one_line.protective if one_line.components[name].control)
    return frozenset(behind - _taps(case, _behind(one_line, control)))


def _control_only(case: Subject, counted: frozenset[str]) -> bool:
    """Return whether nothing is left that needs a rating: only control circuits, and nothing taps power for them."""
    if not counted:
        return True
    components = (case.one_line.components[name] for name in counted)
    return all(c.control and not c.protective and not c.kind.supplementary for c in components) and not any(
        c.protective for c in case.panel.components
    )


def _exemption(case: Subject, component: Component, guarded: frozenset[str]) -> str:
    """Return why a component needs no rating, or nothing where it counts."""
    kind = component.kind
    row = case.tables.scope[kind.name]
    if component.in_field:
        return "stands outside the panel"
    if component.exempt is not None:
        return f"exempted by the document: {component.exempt.reason}"
    if row.needs_rating == "no":
        return f"{kind.label}: needs no rating"
    if row.needs_rating == "load" and not component.location_stated:
        return "controlled load outside the panel"
    if component.position is not None and is_wye_point(component):
        return "wye-point contactor of a wye-delta starter"
    if kind.meter and _metered(case.one_line, component):
        return "meter behind a current transformer or shunt"
    if component.control and component.id in guarded:
        return "control circuit, behind the device that taps power for it"
    return ""


def _metered(one_line: OneLine, component: Component) -> bool:
    if component.position is Position.BEHIND_CURRENT_TRANSFORMER:
        return True
    sources = [one_line.components.get(source.id) for source in one_line.line_side[component.id]]
    return all(source is not None and source.kind.instrument_source for source in sources)


def _behind(one_line: OneLine, devices: frozenset[str]) -> set[str]:
    """Return what has one of these devices ahead of it on every path."""
    behind: set[str] = set()
    for name in one_line.order:
        if all(source.id in devices or source.id in behind for source in one_line.line_side[name]):
            behind.add(name)
    return behind


def _taps(case: Subject, behind_control: set[str]) -> set[str]:
    """Return the devices that take power for a control circuit at a supply's own voltage: the first of each path."""
    taps = set()
    for component in case.panel.components:
        device = component.protective or component.kind.supplementary
        if component.control and device and component.id not in behind_control:
            origins = {feed.origin for feed in case.feeds.incoming[component.id]}
            if origins & case.one_line.supplies.keys():
                taps.add(component.id)
    return taps
