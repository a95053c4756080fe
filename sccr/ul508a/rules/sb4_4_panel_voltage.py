"""SB4.4: the voltage of the panel's rating: the lowest at which every rating used holds (method, section 1)."""

from sccr.panel.component import Component
from sccr.panel.feeds import Feed
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


class _Bounds:
    """The lowest that the ratings allow: line-to-line [mV] and line-to-ground [mV], None where nothing binds."""

    __slots__ = ("ground", "line")

    def __init__(self) -> None:
        self.line: MilliVolts | None = None
        self.ground: MilliVolts | None = None

    def bind(self, voltage: Voltage, line_to_neutral: bool = False) -> None:
        """A straight rating in a line-to-neutral place bounds the line-to-ground voltage only."""
        ground = voltage.line if line_to_neutral and voltage.ground is None else voltage.ground
        if ground is not None and (self.ground is None or ground < self.ground):
            self.ground = ground
        if not line_to_neutral or voltage.ground is not None:
            self.bind_line(voltage.line)

    def bind_line(self, line: MilliVolts) -> None:
        """Bound the line-to-line voltage alone."""
        if self.line is None or line < self.line:
            self.line = line


def panel_voltage(
    case: Subject, scope: Scope, values: dict[str, Value], after: dict[str, Credited], supply: Supply
) -> Voltage:
    """Return the maximum voltage of a supply's rating. A slash rating stays a slash rating (settled 12)."""
    bounds = _Bounds()
    for name in case.zones.get(supply.id, ()):
        component = case.one_line.components[name]
        if name in scope.counted:
            if values[name].current < UNLIMITED:
                _bind_counted(bounds, case, component, values, after[name], supply)
        elif component.transformer is not None and component.transformer.primary is not None:
            bounds.bind_line(component.transformer.primary.line)
    line, ground = supply.voltage.line if bounds.line is None else bounds.line, bounds.ground
    if ground is None:
        return Voltage(line)
    if supply.system is System.SINGLE_PHASE_THREE_WIRE:
        return Voltage(line, min(ground, line // 2), Form.THREE_WIRE)
    return Voltage(line, min(ground, wye_line_to_ground(line)), Form.WYE)


def voltage_text(voltage: Voltage, supply: Supply) -> str:
    """Return the voltage as it is marked: '480Y/277 V', '125 V DC'."""
    return f"{voltage.text} DC" if supply.system is System.DC else voltage.text


def _bind_counted(
    bounds: _Bounds, case: Subject, part: Component, values: dict[str, Value], credited: Credited, supply: Supply
) -> None:
    """Bind by what a part's value holds at and by its own voltage; one that states none holds at the supply."""
    value, neutral = values[part.id], _line_to_neutral(case.feeds.own[part.id], supply)
    if value.voltage is not None:
        bounds.bind(value.voltage, neutral)
    if part.voltage is not None:
        bounds.bind(part.voltage, neutral)
    elif value.voltage is None:
        bounds.bind(Voltage(supply.voltage.line), neutral)
    if credited.step is not None:
        bounds.bind_line(credited.step.voltage)
    for name in value.relies_on:
        relied_on = values[name].voltage if name in case.upstream and name in values else None
        if relied_on is not None:
            bounds.bind(relied_on)


def _line_to_neutral(fed: tuple[Feed, ...], supply: Supply) -> bool:
    if len(fed) == 1:
        return fed[0].line < fed[0].system_line and fed[0].origin == supply.id
    feeds = [feed for feed in fed if feed.origin == supply.id]
    return bool(feeds) and all(feed.line < feed.system_line for feed in feeds)
