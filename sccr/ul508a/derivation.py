"""The derivation: every decision in its order, so that an inspector can follow it with a pencil."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.derivation import TERMINALS
from sccr.fault_current.power_factor import ratio_text
from sccr.panel.component import Component
from sccr.result import Circuit
from sccr.result import Step
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.reasons import credit_text
from sccr.ul508a.reasons import missed_text
from sccr.ul508a.rules.sb4_3_branch_credits import BranchCredit
from sccr.ul508a.value import Basis
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes
from sccr.units import current_text


@dataclass(frozen=True, slots=True)
class Decision:
    """A step before it is numbered."""

    clause: str
    component: str | None
    statement: str
    before: MilliAmperes | None
    after: MilliAmperes | None
    basis: Basis


def derivation(found: Assessment, circuits: tuple[Circuit, ...], withheld: bool) -> tuple[Step, ...]:
    """Return the numbered steps: SB4.2 values, SB4.3 adjustments, SB4.4 circuits, supplies and panel."""
    decisions = [*_options(found), *_values(found), *_transformers(found), *_credits(found)]
    if not withheld:
        decisions += [*_circuits(circuits), *_supplies(found)]
    decisions += [each for at in found.case.available.values() for each in _available(at)]
    return tuple(
        Step(number, d.clause, d.component, d.statement, d.before, d.after, d.basis.value)
        for number, d in enumerate(decisions, start=1)
    )


def _options(found: Assessment) -> Iterator[Decision]:
    options = found.case.panel.options
    if options.credit_feeder_components:
        text = "option credit_feeder_components is on: a feeder component may be credited by itself"
        yield Decision("SB4.3.3", None, text, None, None, Basis.LET_THROUGH)
    if not options.transformer_impedance_credit:
        text = "option transformer_impedance_credit is off: T3 is not used"
        yield Decision("SB4.3.1", None, text, None, None, Basis.TRANSFORMER)


def _values(found: Assessment) -> Iterator[Decision]:
    for name in found.case.one_line.order:
        component = found.case.one_line.components[name]
        if name in found.scope.exempt:
            yield Decision("SB4.2", name, found.scope.exempt[name], None, None, Basis.EXEMPT)
        elif name in found.values:
            value = found.values[name]
            sentences = [value.because + _where_stated(component)]
            sentences += [f"not claimed: {refused}" for refused in value.refused]
            after = None if value.missing else value.current
            yield Decision("SB4.2", name, "; ".join(sentences), None, after, value.basis)


def _where_stated(component: Component) -> str:
    """Return where the values of a catalogue part come from."""
    if not component.from_catalogue:
        return ""
    return f" [catalogue part {component.part}]"


def _transformers(found: Assessment) -> Iterator[Decision]:
    for result in found.transformers.values():
        rule = f"{result.rule}: " if result.rule else ""
        carried = None if result.carried >= UNLIMITED else result.carried
        text = f"{rule}{result.because}"
        if result.rule in ("T1", "T2", "T3"):
            text += "; the line side takes the rating of the primary device and the primary circuit's own components"
        clause = "SB4.3.1" if result.rule else "SB4.2"
        yield Decision(clause, result.transformer, text, _finite(result.lowest), carried, Basis.TRANSFORMER)


def _finite(current: MilliAmperes) -> MilliAmperes | None:
    return None if current >= UNLIMITED else current


def _credits(found: Assessment) -> Iterator[Decision]:
    for device, attempt in found.credits.items():
        step = attempt.taken or attempt.missed
        assert step is not None  # a profile has at least one step, passed or missed
        yield Decision(
            step.clause, device, _attempt_text(attempt), attempt.weakest, _reached(attempt), Basis.LET_THROUGH
        )
    for name in found.case.one_line.order:
        credited = found.after.get(name)
        if credited is None:
            continue
        own = found.values[name].current
        if credited.step is not None:
            branch = next((attempt.branch.device for attempt in found.attempts(name)), None)
            text = f"credited with the branch of {branch}" if branch else credit_text(credited.step)
            yield Decision(credited.step.clause, name, text, own, credited.current, Basis.LET_THROUGH)


def _reached(attempt: BranchCredit) -> MilliAmperes:
    return attempt.weakest if attempt.taken is None else max(attempt.weakest, attempt.taken.level)


def _attempt_text(attempt: BranchCredit) -> str:
    parts = ", ".join(attempt.weakest_parts)
    sentences = [f"branch of {attempt.branch.device}: weakest part {parts}, {current_text(attempt.weakest)}"]
    if attempt.taken is not None:
        sentences.append(credit_text(attempt.taken))
    if attempt.missed is not None:
        sentences.append(missed_text(attempt))
    return "; ".join(sentences)


def _circuits(circuits: tuple[Circuit, ...]) -> Iterator[Decision]:
    for circuit in circuits:
        if circuit.rating is not None:
            text = f"{circuit.type} circuit of {circuit.id}: the lowest of its device and parts"
            component = circuit.id if circuit.type != "supply" else None
            yield Decision("SB4.4", component, text, None, circuit.rating, Basis.LOWEST)


def _available(at: AtSupply) -> Iterator[Decision]:
    """Yield how the current at a supply was computed: a step for what stands upstream, element by element."""
    calculation = at.calculation
    if calculation is None or calculation.available is None:
        return
    name, behind = at.supply.id, {node.behind: node.highest for node in calculation.nodes}
    for element, lines in groupby(calculation.derivation, key=attrgetter("element")):
        highest = behind.get(element)
        if element != TERMINALS:
            text = f"source of {name}, {element}: {'; '.join(line.statement for line in lines)}"
            after = None if highest is None else highest.symmetrical
            yield Decision("SB4.4", None, text, None, after, Basis.FAULT_CURRENT)
    highest = calculation.terminals.highest
    assert highest is not None  # else nothing would be available
    text = f"available at {name}: the {highest.kind.text} fault, X/R {ratio_text(highest.x_over_r)}, rounded up"
    yield Decision("SB4.4", None, text, None, calculation.available, Basis.FAULT_CURRENT)
    if at.stated is not None and at.current is not None:
        text = f"available at {name}: of {current_text(at.stated)} stated and that computed the higher counts"
        yield Decision("SB4.4", None, text, calculation.available, at.current, Basis.FAULT_CURRENT)


def _supplies(found: Assessment) -> Iterator[Decision]:
    for rating in found.supplies:
        if rating.current < UNLIMITED:
            names = ", ".join(limit.component for limit in rating.limits)
            text = f"supply {rating.supply}: the lowest of its circuits, held by {names}"
            yield Decision("SB4.4", None, text, None, rating.current, Basis.LOWEST)
    if len(found.supplies) > 1:
        headline = found.headline
        text = f"the panel's headline is its lowest supply, {headline.supply}"
        yield Decision("SB4.4", None, text, None, headline.current, Basis.LOWEST)
