"""The derivation: every decision in its order, so that an inspector can follow it with a pencil."""

from collections.abc import Iterator
from itertools import count

from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.steps import steps_of
from sccr.iec61439.assessment import Assessment
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import peak_current
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import peak_factor
from sccr.iec61439.tables import Tables
from sccr.iec61439.value import Basis
from sccr.iec61439.words import clause
from sccr.iec61439.words import told
from sccr.panel.component import Component
from sccr.rated_current import duration_text
from sccr.result import Circuit
from sccr.result import Step
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes
from sccr.units import current_text


class _Writer:
    """Numbers the steps, and cites the clause of each."""

    def __init__(self, tables: Tables) -> None:
        self.tables, self._numbers = tables, count(1)

    def step(
        self,
        rule: str,
        component: str | None,
        statement: str,
        basis: Basis,
        before: MilliAmperes | None = None,
        after: MilliAmperes | None = None,
    ) -> Step:
        cited, text = clause(self.tables, rule), told(self.tables, rule, statement)
        return Step(next(self._numbers), cited, component, text, _finite(before), _finite(after), str(basis))


def _finite(current: MilliAmperes | None) -> MilliAmperes | None:
    return None if current is None or current >= UNLIMITED else current


def derivation(found: Assessment, circuits: tuple[Circuit, ...], withheld: bool) -> tuple[Step, ...]:
    """Return the numbered steps: options, values, transformers, circuits, supplies, panel, available currents."""
    writer = _Writer(found.case.tables)
    steps = [*_options(found, writer), *_values(found, writer), *_transformers(found, writer)]
    if not withheld:
        steps += [*_circuits(circuits, writer), *_supplies(found, writer), *_panel(found, writer)]
    for at in found.case.available.values():
        steps += _available(at, writer)
    return tuple(steps)


def _options(found: Assessment, writer: _Writer) -> Iterator[Step]:
    options = found.case.panel.options
    if options.service_breaking_capacity:
        text = "option service_breaking_capacity is on: Ics counts in the place of Icu"
        yield writer.step("B1", None, text, Basis.MARKED)
    if options.skilled_persons_only:
        text = "option skilled_persons_only is on: Icn lowers no Icu or Ics"
        yield writer.step("B2", None, text, Basis.MARKED)
    if options.coordination != 1:
        text = f"option coordination is {options.coordination}: only what is coordinated by that type counts"
        yield writer.step("W2", None, text, Basis.TESTED_COMBINATION)


def _values(found: Assessment, writer: _Writer) -> Iterator[Step]:
    exempt, values = found.scope.exempt, found.values
    for name, component in found.case.one_line.in_order():
        if name in exempt:
            rule, reason = exempt[name]
            yield writer.step(rule, name, reason, Basis.EXEMPT)
            continue
        value = values[name]
        statement = f"{value.rule}: {value.because}{_where_stated(component)}"
        if value.refused and not value.missing:
            statement = "; ".join([statement, *(f"not claimed: {refused}" for refused in value.refused)])
        yield writer.step(value.rule, name, statement, value.basis, None, None if value.missing else value.current)


def _where_stated(component: Component) -> str:
    return f" [catalogue part {component.part}]" if component.from_catalogue else ""


def _transformers(found: Assessment, writer: _Writer) -> Iterator[Step]:
    for name, reason in found.scope.auxiliary.items():
        yield writer.step("E3", name, f"E3: {reason}", Basis.TRANSFORMER)
    for result in found.transformers.values():
        for winding in result.secondaries:
            text = f"{winding.rule}: {winding.winding} {winding.because}"
            lowest, carried = winding.lowest, winding.carried
            yield writer.step(winding.rule, result.transformer, text, Basis.TRANSFORMER, lowest, carried)


def _circuits(circuits: tuple[Circuit, ...], writer: _Writer) -> Iterator[Step]:
    for circuit in circuits:
        if circuit.rating is not None:
            text = f"{circuit.type} circuit of {circuit.id}: the lowest of its device and parts"
            component = circuit.id if circuit.type != "supply" else None
            yield writer.step("P1", component, text, Basis.LOWEST, None, circuit.rating)


def _supplies(found: Assessment, writer: _Writer) -> Iterator[Step]:
    for rating in found.supplies:
        if rating.current < UNLIMITED:
            names = ", ".join(limit.component for limit in rating.limits)
            text = f"supply {rating.supply}: the lowest of its circuits, held by {names}"
            yield writer.step("P1", None, text, Basis.LOWEST, None, rating.current)


def _panel(found: Assessment, writer: _Writer) -> Iterator[Step]:
    headline, factors = found.headline, found.case.tables.peak_factors
    if len(found.supplies) > 1:
        text = f"the assembly's headline is its lowest supply, {headline.supply}"
        yield writer.step("P1", None, text, Basis.LOWEST, None, headline.current)
    if headline.current >= UNLIMITED:
        return
    text = "every part that counts rests on a protective device: the rating is conditional, Icc"
    if found.reference is not None:
        time = f", for {duration_text(found.reference)}"
        text = f"a part that counts stands ahead of every protective device: the rating is a short-time one, Icw{time}"
    elif any(value.unprotected for value in found.values.values()):
        text = "only plain conductors stand ahead of every protective device: the rating is conditional, Icc"
    yield writer.step("P2", None, text, Basis.LOWEST, None, headline.current)
    peak = current_text(peak_current(factors, headline.current))
    text = f"Ipk is n times the current: {peak_factor(factors, headline.current)} × {current_text(headline.current)}"
    yield writer.step("P3", None, f"{text} = {peak}", Basis.TABLE, headline.current, headline.current)


def _available(at: AtSupply, writer: _Writer) -> Iterator[Step]:
    for text, before, after in steps_of(at):
        yield writer.step("P4", None, text, Basis.FAULT_CURRENT, before, after)
