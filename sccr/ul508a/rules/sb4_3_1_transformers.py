"""SB4.3.1: what a power transformer lets its secondary parts do to the rating of the line side (method T1 to T4)."""

from dataclasses import dataclass
from decimal import ROUND_CEILING
from decimal import Decimal

from sccr.panel.component import Component
from sccr.panel.component import Transformer
from sccr.panel.feeds import transformer_phases
from sccr.panel.feeds import winding_name
from sccr.panel.voltage import System
from sccr.ul508a.rules.sb4_2_scope import Scope
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import AMPERE
from sccr.units import UNLIMITED
from sccr.units import VOLT
from sccr.units import MilliAmperes
from sccr.units import current_text

CLAUSE = "SB4.3.1"
SQUARE_ROOT_OF_THREE = Decimal(3).sqrt()


@dataclass(frozen=True, slots=True)
class Secondary:
    """One winding: the lowest value behind it [mA], who holds it there, and what it can deliver [mA] if known."""

    winding: str
    lowest: MilliAmperes
    held_by: tuple[str, ...]
    deliverable: MilliAmperes | None


@dataclass(frozen=True, slots=True)
class TransformerResult:
    """The rule that decides for a transformer and what it carries to its line side.

    rule: T1 to T4, or '' where no protective device stands behind it (a load of its branch).
    carried: the value that reaches the line side [mA], UNLIMITED where the primary device covers it.
    relies_on: a primary device outside the panel, whose interrupting rating the line side then takes.
    """

    transformer: str
    rule: str
    because: str
    secondaries: tuple[Secondary, ...]
    carried: MilliAmperes
    held_by: tuple[str, ...] = ()
    relies_on: tuple[str, ...] = ()

    @property
    def lowest(self) -> MilliAmperes:
        """The lowest value behind any winding [mA]."""
        return min(secondary.lowest for secondary in self.secondaries)


def deliverable_current(
    volt_amperes: Decimal, volts: Decimal, impedance_percent: Decimal, phases: int, tolerance_percent: Decimal
) -> MilliAmperes:
    """Return the most current [mA, rounded up] that a secondary can deliver on an unlimited supply (method T3).

    volt_amperes [VA], volts [V line-to-line], impedance_percent [% as marked], less tolerance_percent [% of it].

    Derived from the method's own example: 5 kVA at 24 V with 2.1 % delivers 9.9 kA at the nominal impedance.

    >>> deliverable_current(Decimal(5000), Decimal(24), Decimal("2.1"), 1, Decimal(0))
    9920635
    """
    impedance = impedance_percent * (100 - tolerance_percent) / 100 / 100
    root = SQUARE_ROOT_OF_THREE if phases == 3 else Decimal(1)
    amperes = volt_amperes / (root * volts * impedance)
    return int((amperes * AMPERE).to_integral_value(ROUND_CEILING))


def transformer_results(case: Subject, scope: Scope, values: dict[str, Value]) -> dict[str, TransformerResult]:
    """Return what each transformer with counted parts behind it does, the inner ones first (settled 6)."""
    results: dict[str, TransformerResult] = {}
    for component in reversed(case.transformers):
        name = component.id
        if not case.one_line.load_side[name]:
            continue
        result = _result_of(case, component, scope, values, results)
        if result is not None:
            results[name] = result
    return results


def results_with_moved(
    case: Subject, scope: Scope, values: dict[str, Value], before: dict[str, TransformerResult], moved: frozenset[str]
) -> dict[str, TransformerResult]:
    """Return the results where the values of some parts moved: found again for the transformers that those reach."""
    results: dict[str, TransformerResult] = {}
    changed = set(moved)
    for name, result in before.items():  # the inner ones first
        component = case.one_line.components[name]
        assert component.transformer is not None
        windings = [winding_name(name, n) for n in range(1, len(component.transformer.secondaries) + 1)]
        if any(not changed.isdisjoint(case.zones.get(winding, ())) for winding in windings):
            changed.add(name)
            result = _result_of(case, component, scope, values, results) or result
        results[name] = result
    return results


def _result_of(
    case: Subject, component: Component, scope: Scope, values: dict[str, Value], inner: dict[str, TransformerResult]
) -> TransformerResult | None:
    """Return what one transformer does, None where nothing behind it counts."""
    assert component.transformer is not None
    windings = range(1, len(component.transformer.secondaries) + 1)
    secondaries = [_secondary(case, component, n, scope, values, inner) for n in windings]
    found = tuple(secondary for secondary in secondaries if secondary.lowest < UNLIMITED or secondary.held_by)
    return _result(case, component, found, values) if found else None


def _secondary(
    case: Subject,
    transformer: Component,
    winding: int,
    scope: Scope,
    values: dict[str, Value],
    results: dict[str, TransformerResult],
) -> Secondary:
    origin = winding_name(transformer.id, winding)
    worth: list[tuple[MilliAmperes, tuple[str, ...]]] = []
    for name in case.zones.get(origin, ()):
        if name in scope.counted:
            worth.append((values[name].current, (name,)))
        elif name in results and results[name].held_by:
            worth.append((results[name].carried, results[name].held_by))
    lowest = min((current for current, _ in worth), default=UNLIMITED)
    held_by = tuple(dict.fromkeys(n for current, names in worth if current == lowest for n in names))
    return Secondary(origin, lowest, held_by, deliverable(case, transformer, winding))


def deliverable(case: Subject, transformer: Component, winding: int) -> MilliAmperes | None:
    """Return the most that a winding (from 1) can deliver [mA], None where kVA or %Z is not marked."""
    nameplate = transformer.transformer
    assert nameplate is not None
    if nameplate.volt_amperes is None or nameplate.impedance_percent is None:
        return None
    volts = Decimal(nameplate.secondaries[winding - 1].line) / VOLT
    phases = transformer_phases(transformer, case.feeds.incoming[transformer.id])
    tolerance = case.tables.limits["impedance_tolerance"]
    return deliverable_current(nameplate.volt_amperes, volts, nameplate.impedance_percent, phases, tolerance)


def _result(
    case: Subject, transformer: Component, found: tuple[Secondary, ...], values: dict[str, Value]
) -> TransformerResult:
    lowest = min(secondary.lowest for secondary in found)
    held_by = tuple(n for secondary in found if secondary.lowest == lowest for n in secondary.held_by)
    if transformer.id not in case.one_line.power_protection_behind:
        because = "no protective device stands behind it: a load of its branch, what it feeds keeps its own value"
        return TransformerResult(transformer.id, "", because, found, lowest, held_by)
    rule, because = _rule(case, transformer, found, values)
    if rule:
        primary = case.one_line.nearest_protection(transformer.id)
        outside = tuple(name for name in primary if name is not None and name not in case.one_line.components)
        return TransformerResult(transformer.id, rule, because, found, UNLIMITED, relies_on=outside)
    return TransformerResult(transformer.id, "T4", because, found, lowest, held_by)


def _rule(
    case: Subject, transformer: Component, found: tuple[Secondary, ...], values: dict[str, Value]
) -> tuple[str, str]:
    """Return the first of T1 to T3 that holds, with its reason; '' and the reason why none does."""
    nameplate = transformer.transformer
    assert nameplate is not None
    if nameplate.isolated is False:
        return "", "not isolated: the lowest secondary value carries to the line side"
    primary = case.one_line.protection[transformer.id]
    if any(name is None or (name in values and values[name].missing) for name in primary):
        return "", "no primary protective device on every path: the lowest secondary value carries to the line side"
    for size in case.tables.transformer_rules:
        limit = size.secondary
        volts = [nameplate.secondaries[int(s.winding.rpartition("/")[2]) - 1].line for s in found]
        small = nameplate.volt_amperes is not None and nameplate.volt_amperes <= size.volt_amperes
        if small and all(limit is None or v <= limit for v in volts) and all(s.lowest >= size.current for s in found):
            return size.name, f"{_size_text(nameplate)}: every secondary part is good for {current_text(size.current)}"
    return _by_impedance(case, nameplate, found)


def _by_impedance(case: Subject, nameplate: Transformer, found: tuple[Secondary, ...]) -> tuple[str, str]:
    """T3: every secondary part is good for what the secondary can deliver."""
    carried = "the lowest secondary value carries to the line side"
    if not case.panel.options.transformer_impedance_credit:
        return "", f"{_size_text(nameplate)}; the option transformer_impedance_credit is off: {carried}"
    if any(s.deliverable is None for s in found):
        return "", f"{_size_text(nameplate)}; no kVA or no %Z is marked: {carried}"
    if any(may_serve_half(case, s.winding) for s in found):
        return "", f"centre-tapped secondary with line-to-neutral loads: {carried}"
    currents = " and ".join(current_text(s.deliverable or 0) for s in found)
    if all(s.deliverable is not None and s.lowest >= s.deliverable for s in found):
        text = f"{_size_text(nameplate)} delivers at most {currents}, for which every secondary part is good"
        return "T3", f"{text} (option transformer_impedance_credit)"
    return "", f"{_size_text(nameplate)} delivers up to {currents}, above its weakest secondary part: {carried}"


def may_serve_half(case: Subject, winding: str) -> bool:
    """Return whether a centre-tapped winding has, or may have, line-to-neutral loads."""
    names = case.zones.get(winding, ())
    feeds = (f for name in names for f in case.feeds.incoming[name] if f.origin == winding)
    if not any(feed.system is System.SINGLE_PHASE_THREE_WIRE for feed in feeds):
        return False
    devices = (case.one_line.components[name] for name in names)
    return any(c.protective and (c.poles is None or c.poles < 2) for c in devices)


def _size_text(nameplate: Transformer) -> str:
    size = f"{nameplate.volt_amperes / 1_000:f} kVA" if nameplate.volt_amperes is not None else "size not stated"
    volts = ", ".join(voltage.text for voltage in nameplate.secondaries)
    impedance = f", {nameplate.impedance_percent:f} %Z" if nameplate.impedance_percent is not None else ""
    return f"{size} to {volts}{impedance}"
