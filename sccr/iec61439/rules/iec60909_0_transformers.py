"""IEC 60909-0: what a transformer lets the parts behind it do to the rating of its line side (method T1, T2)."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from sccr.iec61439.exact import root_up
from sccr.iec61439.rules.iec61439_1_10_11_1_scope import Scope
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Value
from sccr.panel.component import Component
from sccr.panel.feeds import transformer_phases
from sccr.panel.feeds import winding_name
from sccr.panel.voltage import SINGLE_PHASE_THREE_WIRE
from sccr.panel.voltage import SOLIDLY_GROUNDED_WYE
from sccr.units import AMPERE
from sccr.units import UNLIMITED
from sccr.units import VOLT
from sccr.units import MilliAmperes
from sccr.units import MilliVolts
from sccr.units import current_text
from sccr.units import volts_text

COVERED, BY_RATIO = "T1", "T2"
_PERCENT = 100


@dataclass(frozen=True, slots=True)
class Secondary:
    """A winding: the lowest value behind it [mA], who holds it there, what it delivers at most [mA] if known.

    carried: what that limits the line side to [mA], UNLIMITED where every part behind covers what is delivered.
    """

    winding: str
    lowest: MilliAmperes
    held_by: tuple[str, ...]
    deliverable: MilliAmperes | None
    carried: MilliAmperes
    because: str

    @property
    def rule(self) -> str:
        """The rule that decides for it."""
        return COVERED if self.carried >= UNLIMITED else BY_RATIO


@dataclass(frozen=True, slots=True)
class TransformerResult:
    """What a transformer carries to its line side [mA]: the lowest of its windings, and who holds it there."""

    transformer: str
    secondaries: tuple[Secondary, ...]
    carried: MilliAmperes
    held_by: tuple[str, ...]


def through_fault(
    volt_amperes: Decimal,
    voltage: MilliVolts,
    impedance_percent: Decimal,
    phases: int,
    voltage_factor: Decimal,
    tolerance_percent: Decimal,
) -> MilliAmperes:
    """Return the most current [mA rms, rounded up] that a secondary delivers on an unlimited supply.

    volt_amperes [VA], voltage [mV] between lines, impedance_percent [%] less tolerance_percent [% of it],
    voltage_factor: c of IEC 60909-0. A 630 kVA transformer of 4 % at 400 V, before factor and tolerance:

    >>> through_fault(Decimal(630_000), 400_000, Decimal(4), 3, Decimal(1), Decimal(0))
    22733167
    """
    impedance = Fraction(impedance_percent) * (_PERCENT - Fraction(tolerance_percent)) / _PERCENT
    current = Fraction(volt_amperes) * _PERCENT * Fraction(voltage_factor) * AMPERE * VOLT / (voltage * impedance)
    return root_up(current * current / 3 if phases == 3 else current * current)


def transformer_results(case: Subject, scope: Scope, values: Mapping[str, Value]) -> dict[str, TransformerResult]:
    """Return what each transformer with counted parts behind it carries, the inner ones first."""
    results: dict[str, TransformerResult] = {}
    for component in reversed(case.transformers):
        nameplate = component.transformer
        assert nameplate is not None  # case.transformers are those with a nameplate
        windings = range(1, len(nameplate.secondaries) + 1)
        found = [_secondary(case, component, number, scope, values, results) for number in windings]
        secondaries = tuple(secondary for secondary in found if secondary is not None)
        if secondaries:
            carried = min(secondary.carried for secondary in secondaries)
            ties = [s for s in secondaries if s.carried == carried < UNLIMITED]
            held_by = tuple(dict.fromkeys(name for s in ties for name in s.held_by))
            results[component.id] = TransformerResult(component.id, secondaries, carried, held_by)
    return results


def _secondary(
    case: Subject,
    transformer: Component,
    number: int,
    scope: Scope,
    values: Mapping[str, Value],
    inner: Mapping[str, TransformerResult],
) -> Secondary | None:
    """Return what one winding does, None where nothing behind it counts."""
    winding = winding_name(transformer.id, number)
    worth: list[tuple[MilliAmperes, tuple[str, ...]]] = []
    for name in case.zones.get(winding, ()):
        if name in scope.counted:
            worth.append((values[name].current, (name,)))
        elif name in inner:
            worth.append((inner[name].carried, inner[name].held_by))
    if not worth:
        return None
    lowest = min(current for current, _ in worth)
    held_by = tuple(dict.fromkeys(n for current, names in worth if current == lowest for n in names))
    voltage = _fault_voltage(case, transformer, number)
    delivered = _deliverable(case, transformer, voltage)
    carried, because = _carried(case, transformer, number, voltage, lowest, delivered)
    return Secondary(winding, lowest, held_by, delivered, carried, because)


def _fault_voltage(case: Subject, transformer: Component, number: int) -> MilliVolts:
    """Return the secondary voltage [mV] of the hardest fault: of a winding with a middle conductor that of a half."""
    nameplate = transformer.transformer
    assert nameplate is not None
    winding, voltage = winding_name(transformer.id, number), nameplate.secondaries[number - 1]
    for name in case.zones.get(winding, ()):
        for feed in case.feeds.incoming[name]:
            if feed.origin == winding and feed.system is SINGLE_PHASE_THREE_WIRE and feed.to_ground is not None:
                return min(feed.to_ground, voltage.line)
    return voltage.line


def _earthed_star(case: Subject, transformer: Component, number: int) -> bool:
    """Return whether a winding is, or may be, an earthed star: there a fault to earth may be the hardest."""
    nameplate = transformer.transformer
    assert nameplate is not None
    if transformer_phases(transformer, case.feeds.incoming[transformer.id]) != 3:
        return False
    return not nameplate.secondary_systems or nameplate.secondary_systems[number - 1] is SOLIDLY_GROUNDED_WYE


def _deliverable(case: Subject, transformer: Component, voltage: MilliVolts) -> MilliAmperes | None:
    """Return the most that a winding delivers [mA]; None where size or impedance is unstated, or it is not isolated."""
    nameplate = transformer.transformer
    assert nameplate is not None
    if nameplate.volt_amperes is None or nameplate.impedance_percent is None or nameplate.isolated is False:
        return None
    phases = transformer_phases(transformer, case.feeds.incoming[transformer.id])
    limits, size, impedance = case.tables.limits, nameplate.volt_amperes, nameplate.impedance_percent
    return through_fault(size, voltage, impedance, phases, limits.voltage_factor, limits.impedance_tolerance)


def primary_voltage(case: Subject, transformer: Component) -> MilliVolts:
    """Return the primary voltage [mV]: as stated, else the highest that feeds it."""
    nameplate = transformer.transformer
    if nameplate is not None and nameplate.primary is not None:
        return nameplate.primary.line
    return max(feed.line for feed in case.feeds.incoming[transformer.id])


def _carried(
    case: Subject,
    transformer: Component,
    number: int,
    voltage: MilliVolts,
    lowest: MilliAmperes,
    delivered: MilliAmperes | None,
) -> tuple[MilliAmperes, str]:
    if lowest >= UNLIMITED:
        return UNLIMITED, "nothing behind it has a limit"
    if delivered is not None and lowest >= delivered:
        return UNLIMITED, f"delivers at most {current_text(delivered)}, for which every part behind it is good"
    primary = primary_voltage(case, transformer)
    factor = case.tables.limits.earth_fault if _earthed_star(case, transformer, number) else Decimal(1)
    carried = int(Fraction(lowest * voltage) / (primary * Fraction(factor)))
    why = "size or impedance is not stated, or it is not isolated"
    if delivered is not None:
        why = f"delivers up to {current_text(delivered)}"
    ratio = f"{volts_text(voltage)}/{volts_text(primary)} V"
    if factor != 1:
        ratio += f", {factor} times as much in an earth fault"
    return carried, f"{why}: {current_text(lowest)} behind it are {current_text(carried)} on the line side ({ratio})"
