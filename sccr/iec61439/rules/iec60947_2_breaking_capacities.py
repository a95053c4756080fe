"""IEC 60947-2, 60898-1 and 60269-1: what a protective device breaks at its voltage (method B1 to B5).

What UL standards call an interrupting rating never counts: it is tested by another sequence.
"""

from typing import NamedTuple

from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Basis
from sccr.iec61439.value import Value
from sccr.panel.component import BreakingCapacity
from sccr.panel.component import Capacity
from sccr.panel.component import Component
from sccr.panel.feeds import Feed
from sccr.panel.serving import serves_all
from sccr.panel.serving import system_text
from sccr.panel.voltage import DC
from sccr.panel.voltage import STRAIGHT
from sccr.panel.voltage import Voltage
from sccr.units import current_text

_SYMBOLS = {
    Capacity.ULTIMATE: "Icu",
    Capacity.SERVICE: "Ics",
    Capacity.RATED: "Icn",
    Capacity.FUSE: "breaking capacity",
}
_DIRECT = "direct current is not rated here: take the part out of the document or rate its circuit by hand"


class _Fitting(NamedTuple):
    """The highest of each kind that fits the circuit, and what does not, each with why."""

    best: dict[Capacity, BreakingCapacity]
    refused: tuple[str, ...]


def own_capacity(case: Subject, device: Component) -> Value:
    """Return what a protective device breaks by itself."""
    fed = case.feeds_of(device.id)
    if any(feed.system is DC for feed in fed):
        return Value(0, "X2", Basis.MISSING, _DIRECT, code="dc-not-covered")
    fitting = _fitting(device, fed)
    counted = _counted(case, device, fitting)
    if counted is None:
        because = _missing(case, device, fed, fitting)
        return Value(0, _rule_of_missing(device, fed), Basis.MISSING, because, fitting.refused, code=_MISSING_CODE)
    rule, capacity, remark = counted
    because = f"{_text(capacity)}{remark}"
    earthed = earthed_only(capacity.voltage, fed)
    return Value(capacity.current, rule, Basis.MARKED, because, fitting.refused, earthed=earthed)


_MISSING_CODE = "no-breaking-capacity"


def earthed_only(voltage: Voltage, fed: tuple[Feed, ...]) -> bool:
    """Return whether a rating holds in an earthed system only: a slash voltage, or one to the neutral or to earth."""
    return voltage.form is not STRAIGHT or any(feed.line < feed.system_line for feed in fed)


def _text(capacity: BreakingCapacity) -> str:
    return f"{_SYMBOLS[capacity.kind]} {current_text(capacity.current)} at {capacity.voltage.text}"


def _fitting(device: Component, fed: tuple[Feed, ...]) -> _Fitting:
    best: dict[Capacity, BreakingCapacity] = {}
    refused = []
    for capacity in device.breaking_capacities:
        if not serves_all(capacity.voltage, capacity.supply, fed):
            refused.append(f"{_text(capacity)} does not serve {system_text(fed[0])}")
        elif capacity.kind not in best or _better(capacity, best[capacity.kind]):
            best[capacity.kind] = capacity
    return _Fitting(best, tuple(refused))


def _better(one: BreakingCapacity, other: BreakingCapacity) -> bool:
    """The higher current; of two equal ones that of a straight voltage, which needs no earthed system."""
    return (one.current, one.voltage.form is STRAIGHT) > (other.current, other.voltage.form is STRAIGHT)


def _counted(case: Subject, device: Component, fitting: _Fitting) -> tuple[str, BreakingCapacity, str] | None:
    """Return the rule, the capacity that counts, and what to say of another that does not; None where none fits."""
    options, best = case.panel.options, fitting.best
    if device.kind.name == "fuse":
        return ("B3", best[Capacity.FUSE], "") if Capacity.FUSE in best else None
    wanted = Capacity.SERVICE if options.service_breaking_capacity else Capacity.ULTIMATE
    industrial, household = best.get(wanted), best.get(Capacity.RATED)
    if industrial is None and options.service_breaking_capacity:
        return None  # Icn is an ultimate capacity: it does not stand for the Ics that is asked for
    if industrial is None or household is None:
        found = industrial or household
        return None if found is None else ("B2" if found is household else "B1", found, "")
    if options.skilled_persons_only:
        return "B1", industrial, f"; of {_text(household)} nothing is asked, since only skilled persons operate it"
    lower, other = sorted((industrial, household), key=lambda each: each.current)
    return "B2", lower, f", the lower of both beside {_text(other)} (option skilled_persons_only is off)"


def _rule_of_missing(device: Component, fed: tuple[Feed, ...]) -> str:
    single = device.poles == 1 and any(feed.conductors > 1 for feed in fed)
    return "B5" if single and device.breaking_capacities else "B4"


def _missing(case: Subject, device: Component, fed: tuple[Feed, ...], fitting: _Fitting) -> str:
    """Return why no capacity counts, with the field to state."""
    kinds = "kind fuse" if device.kind.name == "fuse" else "kind icu or icn"
    if device.kind.name != "fuse" and case.panel.options.service_breaking_capacity:
        kinds = "kind ics, which option service_breaking_capacity asks for"
    text = f"no breaking capacity by IEC counts at {system_text(fed[0])}: state breaking_capacities ({kinds})"
    if _rule_of_missing(device, fed) == "B5":
        text += "; a single pole between two lines breaks the full voltage between them"
    if device.interrupting_ratings:
        text += "; interrupting_ratings are those of UL and do not count"
    return "; ".join([text, *fitting.refused])
