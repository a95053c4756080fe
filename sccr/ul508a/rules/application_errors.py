"""Misapplications that withhold a rating (method, section 8)."""

from collections.abc import Iterator

from sccr.panel.component import Component
from sccr.panel.component import SupplyType
from sccr.panel.feeds import Feed
from sccr.panel.misapplied import lacking_conductors
from sccr.panel.misapplied import unprotected_branches
from sccr.panel.serving import serves
from sccr.panel.serving import system_text
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.rules.sb4_3_branch_credits import branch_devices_outside
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import MISSING
from sccr.ul508a.value import Remark
from sccr.units import VOLT
from sccr.units import ampere_rating_text
from sccr.units import volts_text

CLAUSE = "SB4.2"


def application_errors(found: Assessment) -> Iterator[Remark]:
    """Yield every error that withholds the rating, in the order of the diagram."""
    case = found.case
    if found.scope.needless:
        message = "control circuits only: the panel needs no short-circuit current rating"
        yield Remark("note", "rating-not-required", None, "SB4.2", message)
        return
    for name, component in case.one_line.in_order():
        value = found.values.get(name)
        if component.voltage is not None or (value is not None and value.basis is MISSING):
            yield from _value_errors(found, component)
        if component.phases == 3 or component.transformer is not None:
            yield from _phases(case, component)
        if component.poles == 1 or component.kind.name == "fuse" or name in case.feeds.joined:
            yield from _circuit_errors(found, component)
    yield from _unprotected(found)
    for supply, device in branch_devices_outside(case).items():
        if found.values[device].missing:
            message = f"the branch device outside the panel cannot be relied on: {found.values[device].because}"
            yield Remark("error", "upstream-not-relied-on", supply, CLAUSE, message)


def _value_errors(found: Assessment, component: Component) -> Iterator[Remark]:
    case, value = found.case, found.values.get(component.id)
    if component.id not in found.scope.counted and (component.control or component.in_field):
        return
    fed = case.feeds_of(component.id)
    if value is not None and value.missing:
        code = _voltage_code(component, fed) if value.code == "voltage-above-rating" else value.code
        yield Remark("error", code, component.id, CLAUSE, value.because)
    elif component.voltage is not None:
        supply = SupplyType.DC if any(feed.system is System.DC for feed in fed) else SupplyType.AC
        wrong = next((feed for feed in fed if not serves(component.voltage, supply, feed)), None)
        if wrong is not None and not component.kind.load:
            message = f"voltage rating {component.voltage.text} does not serve {system_text(wrong)}"
            yield Remark("error", _voltage_code(component, fed), component.id, CLAUSE, message)


def _voltage_code(component: Component, fed: tuple[Feed, ...]) -> str:
    """Return 'slash-rating-on-system' where a slash voltage of enough volts meets a system that it does not fit."""
    voltages = [r.voltage for r in component.interrupting_ratings]
    voltages += [r.voltage for r in component.short_circuit_ratings]
    voltages += [component.voltage] if component.voltage else []
    if any(v.form is not Form.STRAIGHT and all(v.line >= feed.system_line for feed in fed) for v in voltages):
        return "slash-rating-on-system"
    return "voltage-above-rating"


def _circuit_errors(found: Assessment, component: Component) -> Iterator[Remark]:
    case, honoured_control = found.case, component.control and component.id in found.scope.exempt
    if component.in_field or honoured_control:
        return
    yield from _single_pole(case, component)
    if component.kind.name == "fuse":
        yield from _holder_fit(case, component)
        yield from _miniature_as_branch(case, component)


def _single_pole(case: Subject, component: Component) -> Iterator[Remark]:
    """A single-pole breaker between two lines must be marked for it."""
    breaker = component.kind.name in ("circuit_breaker", "supplementary_protector")
    if breaker and component.poles == 1 and not component.line_to_line:
        for feed in case.feeds.incoming[component.id]:
            if feed.conductors > 1 and not feed.neutral and feed.system is not System.HIGH_LEG_DELTA:
                message = f"single-pole on {system_text(feed)} without a neutral: needs a line-to-line marking"
                yield Remark("error", "single-pole-line-to-line", component.id, CLAUSE, message)
    if component.id in case.feeds.joined:
        for pole in _single_poles_ahead(case, component.id):
            if not pole.line_to_line:
                message = f"single-pole, joined with others line-to-line at {component.id}: needs that marking"
                yield Remark("error", "single-pole-line-to-line", pole.id, CLAUSE, message)


def _single_poles_ahead(case: Subject, name: str) -> list[Component]:
    one_line = case.one_line
    fed = {
        feed.pole
        for source in one_line.line_side[name]
        if source.id in case.feeds.own
        for feed in case.feeds.own[source.id]
    }
    poles = [one_line.components[pole] for pole in sorted(p for p in fed if p)]
    return [pole for pole in poles if pole.kind.name in ("circuit_breaker", "supplementary_protector")]


def _phases(case: Subject, component: Component) -> Iterator[Remark]:
    """Three-phase loads and transformers need three ungrounded conductors."""
    feed = lacking_conductors(component, case.feeds.incoming[component.id])
    if feed is not None:
        message = f"three-phase, but fed with {feed.conductors} ungrounded conductor(s) of {system_text(feed)}"
        yield Remark("error", "too-few-poles", component.id, CLAUSE, f"{message}: poles ahead of it are missing")


def _holder_fit(case: Subject, fuse: Component) -> Iterator[Remark]:
    for holder in case.one_line.holders(fuse.id):
        row = case.tables.holders.get(holder.fuse_class or "")
        if row is not None and fuse.fuse_class is not None and fuse.fuse_class not in row.accepts:
            message = f"class {fuse.fuse_class} does not fit {holder.id}, a class {holder.fuse_class} holder"
            yield Remark("error", "fuse-does-not-fit", fuse.id, CLAUSE, message)
        if holder.amperes is not None and fuse.amperes is not None and fuse.amperes > holder.amperes:
            message = f"{ampere_rating_text(fuse.amperes)} in {holder.id} of {ampere_rating_text(holder.amperes)}"
            yield Remark("error", "fuse-above-holder", fuse.id, CLAUSE, message)


def _miniature_as_branch(case: Subject, fuse: Component) -> Iterator[Remark]:
    limit = int(case.tables.limits["miniature_fuse_branch_voltage"] * VOLT)
    if fuse.fuse_class != "miniature" or fuse.control:
        return
    if any(feed.line > limit for feed in case.feeds_of(fuse.id)):
        message = f"a miniature fuse is no branch or feeder protection above {volts_text(limit)} V"
        yield Remark("error", "miniature-fuse-as-branch", fuse.id, CLAUSE, message)


def _unprotected(found: Assessment) -> Iterator[Remark]:
    """A branch needs an overcurrent protective device; a supplementary protector (UL 1077) is none."""
    for branch in unprotected_branches(found.case.one_line):
        name = branch.end
        if branch.supplementary is not None:
            message = f"a supplementary protector is no branch-circuit protection, and nothing else protects {name}"
            yield Remark("error", "supplementary-protector-as-branch", branch.supplementary, CLAUSE, message)
        else:
            remedy = "feed it from a circuit breaker or fuse, or state the supply's upstream_protection"
            yield Remark("error", "unprotected-branch", name, CLAUSE, f"no overcurrent device ahead of it: {remedy}")
