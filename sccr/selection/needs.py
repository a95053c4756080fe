"""The checks of what the circuit requires: poles, voltage, system, amperes, interrupting rating, inrush."""

from sccr.panel.voltage import Voltage
from sccr.selection.circuit import Motor
from sccr.selection.device import ratings_text
from sccr.selection.device import reaches
from sccr.selection.motor_current import horsepower_of
from sccr.selection.requirement import Span
from sccr.selection.requirement import amps
from sccr.selection.tables import tables
from sccr.selection.verdict import Case
from sccr.selection.verdict import Verdict
from sccr.selection.verdict import fails
from sccr.selection.verdict import passes
from sccr.ul508a.subject import serves
from sccr.ul508a.subject import system_text
from sccr.units import current_text

_AMBIENT = "UL 489; NEC 110.3(B)"


def power(case: Case) -> Verdict:
    """A motor controller is marked for the motor's power."""
    load, marked = case.circuit.load, case.device.power
    if not case.device.kind.controller or not isinstance(load, Motor) or load.power is None:
        return passes("NEC 430.83", "no horsepower rating is called for")
    if marked is None:
        return passes("NEC 430.83", "a motor controller", "its horsepower")
    asked, has = horsepower_of(load.power), horsepower_of(marked)
    told = f"{float(has):.4g} hp marked, {float(asked):.4g} hp called for"
    return passes("NEC 430.83", told) if has >= asked else fails("NEC 430.83", told)


def poles(case: Case) -> Verdict:
    """A pole for each ungrounded conductor, no more and no fewer; a fuse in each."""
    clause, wanted, has = case.practice.clauses["poles"], case.requirement.poles, case.device.poles
    if case.device.is_fuse and has in (None, 1):
        return passes(clause, f"a fuse in each ungrounded conductor: {wanted}")
    if has is None:
        return fails(clause, f"its poles are not stated; {wanted} are called for")
    told = f"{has} of its own, for {wanted} ungrounded"
    return passes(clause, told) if has == wanted else fails(clause, told)


def voltage(case: Case) -> Verdict:
    """A rating at a voltage not below the circuit's, and of its kind of current (AC or DC)."""
    device, feed, clause = case.device, case.feed, case.practice.clauses["voltage"]
    circuit = Voltage(feed.line).text
    if device.voltage is not None and device.voltage.line < feed.line:
        return fails(clause, f"rated {device.voltage.text}, in a circuit of {circuit}")
    if not device.ratings:
        return fails(clause, f"{case.practice.words['unmarked']}; the circuit has {circuit}")
    if not any(reaches(rating.voltage, rating.supply, feed) for rating in device.ratings):
        kind = " DC" if feed.system == "dc" else ""
        return fails(clause, f"{ratings_text(device.ratings)}: none at {circuit}{kind}")
    return passes(clause, f"{ratings_text(device.ratings)}, in a circuit of {circuit}")


def system(case: Case) -> Verdict:
    """A slash rating serves only the grounded system that it names (NEC 240.85)."""
    device, feed, clause = case.device, case.feed, case.practice.clauses["system"]
    where = system_text(feed)
    of_device = device.voltage
    if of_device is not None and not any(serves(of_device, rating.supply, feed) for rating in device.ratings):
        return fails(clause, f"rated {of_device.text}: a slash rating that does not serve {where}")
    best = device.interrupts(feed)
    if best is None:
        return fails(clause, f"{ratings_text(device.ratings)}: a slash rating that does not serve {where}")
    return passes(clause, f"the rating at {best.voltage.text} serves {where}")


def least_amperes(case: Case) -> Verdict:
    """An ampere rating not below the minimum, at the circuit's ambient where the catalogue has ratings by ambient."""
    span, rating, ambient = _span(case), case.device.amperes, case.circuit.ambient
    if rating is None:
        return fails(span.minimum.clause, "its ampere rating is not stated")
    needed = f"at least {amps(span.minimum.current)} ({span.minimum.statement})"
    told, unsaid = f"{amps(rating)}; {needed}", None
    if ambient is not None and case.device.ambient_ratings:
        corrected = case.device.amperes_at(ambient)
        if corrected is None:
            return fails(_AMBIENT, f"it has no rating at {ambient} °C: those that it states end below")
        told, rating = f"{amps(corrected)} at {ambient} °C ({amps(rating)} marked); {needed}", corrected
    elif ambient is not None and ambient > tables().limits["ambient"]:
        unsaid = f"its ampere rating at {ambient} °C: the marked one is compared"
    if rating < span.minimum.current:
        return fails(span.minimum.clause, told)
    return passes(span.minimum.clause, told, unsaid)


def most_amperes(case: Case) -> Verdict:
    """An ampere rating not above the maximum of its type."""
    span, rating = _span(case), case.device.amperes or 0
    told = f"{amps(rating)}; at most {amps(span.maximum.current)} ({span.maximum.statement})"
    if rating > span.maximum.current:
        return fails(span.maximum.clause, told)
    return passes(span.maximum.clause, told, _delay_unsaid(case))


def _delay_unsaid(case: Case) -> str | None:
    """Return what the catalogue does not say of a fuse where the limits of time-delay fuses and others differ."""
    device = case.device
    if not device.is_fuse or device.stated_delay or device.fuse_class in ("CC", "T"):
        return None
    limits = {span.maximum.current for span in case.requirement.spans if span.device.endswith("fuse")}
    return "whether it is a time-delay fuse: held to the lower limit, that of one" if len(limits) > 1 else None


def _span(case: Case) -> Span:
    span = case.requirement.span(case.device.type)
    assert span is not None  # duty lets no controller pass but where a motor has a span for it
    return span


def interrupting(case: Case) -> Verdict:
    """An interrupting rating, or breaking capacity, at the circuit's voltage, not below the current asked for."""
    needed, best = case.requirement.interrupting, case.device.interrupts(case.feed)
    assert best is not None  # system has seen to it
    has = f"{current_text(best.current)} at {best.voltage.text}"
    unmarked = "an interrupting rating: the value of an unmarked device is taken" if case.device.assumed else None
    if needed is None:
        return passes(
            case.practice.clauses["available"], f"{has}; no fault current is stated to compare it with", unmarked
        )
    if best.current < needed.current:
        return fails(needed.clause, f"{has}, below {current_text(needed.current)} ({needed.statement})")
    margin = current_text(best.current - needed.current)
    return passes(needed.clause, f"{has}, {margin} above {current_text(needed.current)} ({needed.statement})", unmarked)


def inrush(case: Case) -> Verdict:
    """The lower end of the trip curve's band, times the ampere rating, not below the inrush."""
    device, drawn, clause = case.device, case.requirement.inrush, "IEC 60898-1; makers' practice for K and Z"
    if drawn is None:
        return passes(clause, "no inrush to compare with")
    if device.kind.controller:
        return passes("NEC 430.52(C)(6)", "made for the starting of motors")
    if device.is_fuse:
        return passes("NEC 430.52(B)", "no trip curve", "its melting curve: see that it carries the inrush")
    band = tables().curves.get(device.trip_curve or "")
    if band is None or device.amperes is None:
        told = "no band is known for its trip curve" if device.trip_curve else "no trip curve"
        return passes(clause, told, f"from which current it trips at once: the inrush is {amps(drawn.current)}")
    least = int(device.amperes * band.least)
    told = f"curve {band.curve} trips at once from {float(band.least):g} times {amps(device.amperes)}: {amps(least)}"
    told = f"{told}; inrush {amps(drawn.current)} ({drawn.statement})"
    return passes(band.source, told) if least >= drawn.current else fails(band.source, told)
