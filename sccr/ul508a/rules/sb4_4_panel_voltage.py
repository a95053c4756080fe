"""SB4.4: the voltage of the panel's rating: the lowest at which every rating used holds (method, section 1)."""

from collections.abc import Iterator
from dataclasses import dataclass

from sccr.panel.panel import Supply
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.panel.voltage import wye_line_to_ground
from sccr.ul508a.rules.sb4_2_scope import Scope
from sccr.ul508a.rules.sb4_3_branch_credits import Credited
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import UNLIMITED
from sccr.units import MilliVolts

CLAUSE = "SB4.4"


@dataclass(frozen=True, slots=True)
class Bound:
    """What one rating allows: line-to-line [mV] and line-to-ground [mV], None where it does not bind."""

    line: MilliVolts | None = None
    ground: MilliVolts | None = None


def panel_voltage(
    case: Subject, scope: Scope, values: dict[str, Value], after: dict[str, Credited], supply: Supply
) -> Voltage:
    """Return the maximum voltage of a supply's rating. A slash rating stays a slash rating (settled 12)."""
    bounds = list(_bounds(case, scope, values, after, supply))
    line = min((bound.line for bound in bounds if bound.line is not None), default=supply.voltage.line)
    ground = min((bound.ground for bound in bounds if bound.ground is not None), default=None)
    if ground is None:
        return Voltage(line)
    if supply.system is System.SINGLE_PHASE_THREE_WIRE:
        return Voltage(line, min(ground, line // 2), Form.THREE_WIRE)
    return Voltage(line, min(ground, wye_line_to_ground(line)), Form.WYE)


def voltage_text(voltage: Voltage, supply: Supply) -> str:
    """Return the voltage as it is marked: '480Y/277 V', '125 V DC'."""
    return f"{voltage.text} DC" if supply.system is System.DC else voltage.text


def _bounds(
    case: Subject, scope: Scope, values: dict[str, Value], after: dict[str, Credited], supply: Supply
) -> Iterator[Bound]:
    for name in case.zones.get(supply.id, ()):
        component = case.one_line.components[name]
        if name in scope.counted:
            value, step = values[name], after[name].step
            if value.current >= UNLIMITED:
                continue
            marked = [v for v in (value.voltage, component.voltage) if v is not None]
            yield from (_bound(case, name, supply, v) for v in marked or [Voltage(supply.voltage.line)])
            if step is not None:
                yield Bound(step.voltage)
            yield from _relied_on(case, values, value, supply)
        elif component.transformer is not None and component.transformer.primary is not None:
            yield Bound(component.transformer.primary.line)


def _relied_on(case: Subject, values: dict[str, Value], value: Value, supply: Supply) -> Iterator[Bound]:
    outside = (name for name in value.relies_on if name not in case.one_line.components)
    for name in outside:
        voltage = values[name].voltage if name in values else None
        if voltage is not None:
            yield Bound(voltage.line, voltage.ground)


def _bound(case: Subject, name: str, supply: Supply, voltage: Voltage) -> Bound:
    """A straight rating in a line-to-neutral place bounds the line-to-ground voltage only."""
    if voltage.ground is not None:
        return Bound(voltage.line, voltage.ground)
    feeds = [feed for feed in case.feeds.own[name] if feed.origin == supply.id]
    if feeds and all(feed.line < feed.system_line for feed in feeds):
        return Bound(ground=voltage.line)
    return Bound(voltage.line)
