"""The derivation: every decision in its order, so that an inspector can follow it with a pencil."""

from collections.abc import Iterator
from itertools import count
from typing import Final

from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.steps import steps_of
from sccr.panel.component import Component
from sccr.result import Circuit
from sccr.result import Step
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.reasons import credit_text
from sccr.ul508a.reasons import missed_text
from sccr.ul508a.rules.sb4_3_branch_credits import BranchCredit
from sccr.ul508a.rules.sb4_3_branch_credits import Credited
from sccr.ul508a.value import MISSING
from sccr.ul508a.value import Basis
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes
from sccr.units import current_text

Numbers = Iterator[int]

#: A step says the name of its basis.
EXEMPT: Final = str(Basis.EXEMPT)
FAULT_CURRENT: Final = str(Basis.FAULT_CURRENT)
LET_THROUGH: Final = str(Basis.LET_THROUGH)
LOWEST: Final = str(Basis.LOWEST)
TRANSFORMER: Final = str(Basis.TRANSFORMER)


def derivation(found: Assessment, circuits: tuple[Circuit, ...], withheld: bool) -> tuple[Step, ...]:
    """Return the numbered steps: SB4.2 values, SB4.3 adjustments, SB4.4 circuits, supplies and panel."""
    numbers = count(1)
    steps = [*_options(found, numbers), *_values(found, numbers)]
    steps += [*_transformers(found, numbers), *_credits(found, numbers)]
    if not withheld:
        steps += [*_circuits(circuits, numbers), *_supplies(found, numbers)]
    for at in found.case.available.values():
        steps += _available(at, numbers)
    return tuple(steps)


def _options(found: Assessment, numbers: Numbers) -> Iterator[Step]:
    options = found.case.panel.options
    if options.credit_feeder_components:
        text = "option credit_feeder_components is on: a feeder component may be credited by itself"
        yield Step(next(numbers), "SB4.3.3", None, text, None, None, LET_THROUGH)
    if not options.transformer_impedance_credit:
        text = "option transformer_impedance_credit is off: T3 is not used"
        yield Step(next(numbers), "SB4.3.1", None, text, None, None, TRANSFORMER)


def _values(found: Assessment, numbers: Numbers) -> Iterator[Step]:
    exempt, values = found.scope.exempt, found.values
    for name, component in found.case.one_line.in_order():
        if name in exempt:
            yield Step(next(numbers), "SB4.2", name, exempt[name], None, None, EXEMPT)
        elif name in values:
            value = values[name]
            statement = value.because
            if component.from_catalogue:
                statement += _where_stated(component)
            if value.refused:
                statement = "; ".join([statement, *(f"not claimed: {refused}" for refused in value.refused)])
            yield Step(
                next(numbers),
                "SB4.2",
                name,
                statement,
                None,
                None if value.basis is MISSING else value.current,
                str(value.basis),
            )


def _where_stated(component: Component) -> str:
    """Return where the values of a catalogue part come from."""
    return f" [catalogue part {component.part}]"


def _transformers(found: Assessment, numbers: Numbers) -> Iterator[Step]:
    for result in found.transformers.values():
        rule = f"{result.rule}: " if result.rule else ""
        carried = None if result.carried >= UNLIMITED else result.carried
        text = f"{rule}{result.because}"
        if result.rule in ("T1", "T2", "T3"):
            text += "; the line side takes the rating of the primary device and the primary circuit's own components"
        clause = "SB4.3.1" if result.rule else "SB4.2"
        yield Step(next(numbers), clause, result.transformer, text, _finite(result.lowest), carried, TRANSFORMER)


def _finite(current: MilliAmperes) -> MilliAmperes | None:
    return None if current >= UNLIMITED else current


def _credits(found: Assessment, numbers: Numbers) -> Iterator[Step]:
    for device, attempt in found.credits.items():
        step = attempt.taken or attempt.missed
        assert step is not None  # a profile has at least one step, passed or missed
        yield Step(
            next(numbers), step.clause, device, _attempt_text(attempt), attempt.weakest, _reached(attempt), LET_THROUGH
        )
    after = found.after
    for name in found.case.one_line.order:
        if name in after and after[name].step is not None:
            yield _credited(found, name, after[name], next(numbers))


def _credited(found: Assessment, name: str, credited: Credited, number: int) -> Step:
    step = credited.step
    assert step is not None
    attempts = found.attempts(name)
    text = f"credited with the branch of {attempts[0].branch.device}" if attempts else credit_text(step)
    return Step(number, step.clause, name, text, found.values[name].current, credited.current, LET_THROUGH)


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


def _circuits(circuits: tuple[Circuit, ...], numbers: Numbers) -> Iterator[Step]:
    for circuit in circuits:
        if circuit.rating is not None:
            text = f"{circuit.type} circuit of {circuit.id}: the lowest of its device and parts"
            component = circuit.id if circuit.type != "supply" else None
            yield Step(next(numbers), "SB4.4", component, text, None, circuit.rating, LOWEST)


def _available(at: AtSupply, numbers: Numbers) -> Iterator[Step]:
    for text, before, after in steps_of(at):
        yield Step(next(numbers), "SB4.4", None, text, before, after, FAULT_CURRENT)


def _supplies(found: Assessment, numbers: Numbers) -> Iterator[Step]:
    for rating in found.supplies:
        if rating.current < UNLIMITED:
            names = ", ".join(limit.component for limit in rating.limits)
            text = f"supply {rating.supply}: the lowest of its circuits, held by {names}"
            yield Step(next(numbers), "SB4.4", None, text, None, rating.current, LOWEST)
    if len(found.supplies) > 1:
        headline = found.headline
        text = f"the panel's headline is its lowest supply, {headline.supply}"
        yield Step(next(numbers), "SB4.4", None, text, None, headline.current, LOWEST)
