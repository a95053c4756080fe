"""Choosing: size the circuit, hold every device of the catalogue to the checks, order what passes."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from hashlib import sha256
from math import isqrt

from sccr.result import Finding
from sccr.selection.breaking import as_breaking
from sccr.selection.checks import verdicts
from sccr.selection.circuit import Circuit
from sccr.selection.device import Device
from sccr.selection.device import Devices
from sccr.selection.device import Stock
from sccr.selection.device import devices
from sccr.selection.loads import sizing
from sccr.selection.practice import USUAL
from sccr.selection.practice import practice
from sccr.selection.requirement import Figure
from sccr.selection.requirement import Requirement
from sccr.selection.requirement import Sizing
from sccr.selection.requirement import amps
from sccr.selection.requirement import note
from sccr.selection.requirement import warning
from sccr.selection.selection import NearMiss
from sccr.selection.selection import Selection
from sccr.selection.selection import Suitable
from sccr.selection.tables import tables
from sccr.selection.verdict import Case
from sccr.selection.verdict import Verdict
from sccr.ul508a.subject import system_text
from sccr.units import current_text


def select(circuit: Circuit, catalogue: Stock | Devices, *, limit: int | None = None) -> Selection:
    """Return the devices of a catalogue that suit a circuit, best first, and the near misses.

    Best is, among those that pass every check, the smallest ampere rating; then the greatest margin of the
    interrupting rating at the circuit's voltage; then the lowest price of all that the circuit takes; then the
    part number. Nearest of the misses is the one that passes most checks before the first it fails.

    Parameters
    ----------
    circuit : Circuit
        As `sccr.schema.circuit.load_circuit` returns it.
    catalogue : Stock or Devices
        Parts by number, such as a `Catalogue`; those that protect nothing are passed over. Who chooses often from one
        large catalogue hands over its `devices`.
    limit : int or None
        How many of the suitable devices, and of the near misses, are listed at most; None lists all.
    """
    sized = sizing(circuit)
    needed = requirement(circuit, sized)
    stock = catalogue if isinstance(catalogue, Devices) else devices(catalogue)
    suitable, near = _parted(circuit, needed, stock.devices if sized.spans else ())
    return Selection(
        designation=circuit.designation,
        requirement=needed,
        suitable=tuple(suitable[:limit]),
        near_misses=tuple(near[:limit]),
        suitable_count=len(suitable),
        near_miss_count=len(near),
        findings=tuple(_findings(circuit, sized, needed, suitable)),
        tables_digest=_digest(circuit),
        catalogue_digest=stock.digest,
        edition=None if practice(circuit.edition).standard == USUAL else circuit.edition,
    )


def _digest(circuit: Circuit) -> str:
    """Return the digest of what a choice rests on: the tables and, where the practice is not the usual, its words."""
    own = practice(circuit.edition)
    both = f"{tables().digest}{own.digest}"
    return tables().digest if own.standard == USUAL else sha256(both.encode()).hexdigest()


def requirement(circuit: Circuit, sized: Sizing | None = None) -> Requirement:
    """Return the sized numbers of a circuit, each with its clause."""
    sized = sized or sizing(circuit)
    return Requirement(
        full_load=sized.full_load,
        spans=sized.spans,
        overload=sized.overload,
        inrush=_stated_inrush(circuit) or sized.inrush,
        interrupting=_interrupting(circuit),
        poles=circuit.ungrounded,
        circuit=system_text(circuit.feed),
    )


def _interrupting(circuit: Circuit) -> Figure | None:
    """Return what the device must interrupt: the available current (NEC 110.9), or a higher rating called for."""
    available, target = circuit.available_fault_current, circuit.target
    clauses = practice(circuit.edition).clauses
    if target is not None and target > (available or 0):
        return Figure(target, clauses["target"], f"the rating called for: {current_text(target)}")
    if available is not None:
        return Figure(available, clauses["available"], f"the available fault current: {current_text(available)}")
    return None


def _stated_inrush(circuit: Circuit) -> Figure | None:
    """Return the rms [mA] of a current with the stated crest, rounded up."""
    peak = circuit.inrush_peak
    if peak is None:
        return None
    rms = isqrt((peak * peak - 1) // 2) + 1
    return Figure(rms, "as stated", f"a crest of {amps(peak)}, as the crest of {amps(rms)} rms")


def _parted(
    circuit: Circuit, needed: Requirement, considered: tuple[Device, ...]
) -> tuple[list[Suitable], list[NearMiss]]:
    suitable, near = [], []
    for each in considered:
        case = _case(circuit, needed, each)
        found = tuple(verdicts(case))
        name, last = found[-1]
        if last.passed:
            suitable.append(_suitable(case, found))
        else:
            near.append(NearMiss(each, name, last, len(found) - 1))
    nearest = needed.spans[0].minimum.current if needed.spans else 0
    near.sort(key=lambda miss: (-miss.passed, abs((miss.device.amperes or 0) - nearest), miss.device.part))
    return sorted(suitable, key=lambda device: device.rank), near


def _case(circuit: Circuit, needed: Requirement, device: Device) -> Case:
    """Return a device in the circuit, with the ratings that count by the edition."""
    case = Case(circuit, needed, device)
    if not case.practice.categories:  # ratings of UL count as they are
        return case
    return replace(case, device=as_breaking(device, case.feed, circuit.options))


def _suitable(case: Case, why: tuple[tuple[str, Verdict], ...]) -> Suitable:
    best = case.device.interrupts(case.feed)
    assert best is not None  # it has passed the check
    needed = case.requirement.interrupting
    return Suitable(
        device=case.device,
        quantity=case.device.quantity(case.requirement.poles),
        interrupting=best.current,
        interrupting_voltage=best.voltage.text,
        margin=best.current - needed.current if needed else None,
        why=why,
    )


def _of_another_practice(circuit: Circuit) -> Iterator[Finding]:
    """Yield that ampere ratings are sized by the NEC whatever the edition: no tables of another practice are here."""
    own = practice(circuit.edition)
    if own.standard != USUAL:
        told = (
            f"ampere ratings are sized by the NEC, not by what goes with {own.standard}: hold the rated current "
            "against the load and the conductors by the rules that apply"
        )
        yield warning("amperes-sized-by-nec", own.clauses["duty"], told)


def _findings(circuit: Circuit, sized: Sizing, needed: Requirement, suitable: list[Suitable]) -> Iterator[Finding]:
    yield from sized.findings
    if needed.interrupting is None:
        compared = practice(circuit.edition).words["ratings"]
        told = f"neither an available fault current nor a target is stated: {compared} are not compared"
        yield warning("fault-current-not-stated", practice(circuit.edition).clauses["available"], told)
    yield from _of_another_practice(circuit)
    unknown = [each for each in suitable if not each.device.ambient_ratings]
    limit = tables().limits["ambient"]
    if circuit.ambient is not None and Fraction(circuit.ambient) > limit and unknown:
        told = (
            f"{circuit.ambient} °C is above the {float(limit):g} °C of the ratings, and the catalogue has no rating "
            f"there of {len(unknown)} of the {len(suitable)} devices: ask for the correction"
        )
        yield warning("ambient-above-calibration", "UL 489; NEC 110.3(B)", told)
    ampacity = circuit.conductor_ampacity
    if sized.spans and ampacity is not None and ampacity < sized.spans[0].minimum.current:
        told = f"conductors of {amps(ampacity)} for a circuit of {amps(sized.spans[0].minimum.current)}"
        yield warning("conductors-too-small", "NEC 210.19(A), 215.2, 430.22", told)
    if circuit.duty == "supplementary":
        told = "the branch's own protection, ahead of this device, is chosen apart"
        yield note("branch-protection-ahead", "NEC 240.10", told)
