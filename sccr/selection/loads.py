"""Circuits of other loads than motors: NEC 210.20, 215.3, 210.21(B), 240.4, 424.22, 430.130 and 450.3(B)."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from sccr.result import Finding
from sccr.selection.circuit import Circuit
from sccr.selection.circuit import Drive
from sccr.selection.circuit import Heater
from sccr.selection.circuit import Lighting
from sccr.selection.circuit import Load
from sccr.selection.circuit import Motor
from sccr.selection.circuit import PlainCurrent
from sccr.selection.circuit import Receptacle
from sccr.selection.circuit import TransformerLoad
from sccr.selection.exact import line_current
from sccr.selection.exact import percent_of
from sccr.selection.exact import up
from sccr.selection.motor import departs
from sccr.selection.motor import full_load_current
from sccr.selection.motor import largest
from sccr.selection.motor import motor_sizing
from sccr.selection.motor import percent_row
from sccr.selection.requirement import BREAKER
from sccr.selection.requirement import NON_TIME_DELAY_FUSE
from sccr.selection.requirement import TIME_DELAY_FUSE
from sccr.selection.requirement import Figure
from sccr.selection.requirement import Sizing
from sccr.selection.requirement import Span
from sccr.selection.requirement import amps
from sccr.selection.requirement import note
from sccr.selection.requirement import warning
from sccr.selection.tables import next_size
from sccr.selection.tables import tables
from sccr.units import AMPERE
from sccr.units import MilliAmperes

_BREAKER_AND_FUSES = (BREAKER, TIME_DELAY_FUSE, NON_TIME_DELAY_FUSE)
_DRIVE = "NEC 430.130(A)(1), Table 430.52; 240.6(A)"
_CONTINUOUS = "NEC 210.20(A), 215.3"


def sizing(circuit: Circuit) -> Sizing:
    """Return what the load of a circuit asks for."""
    load = circuit.load
    match load:
        case Motor():
            return motor_sizing(circuit, load)
        case Heater():
            return _heater(circuit, load)
        case TransformerLoad():
            return _transformer(circuit, load)
        case Drive():
            return _drive(circuit, load)
        case Receptacle():
            return _receptacle(circuit, load)
        case Lighting() | PlainCurrent():
            return _plain(circuit, load)


def _sized(load: Load, full_load: Figure, spans: tuple[Span, ...], *findings: Finding) -> Sizing:
    usual = tables().inrush[load.name]
    crest = up(full_load.current * usual.multiple * usual.first_crest)
    told = f"taken as {float(usual.multiple * usual.first_crest):g} times {amps(full_load.current)}: {amps(crest)}"
    inrush = Figure(crest, "common practice, no source", told)
    return Sizing(full_load, spans, inrush=inrush, findings=findings)


def _minimum(current: MilliAmperes, continuous: bool, clause: str = _CONTINUOUS) -> Figure:
    if not continuous:
        return Figure(current, clause, f"not continuous: {amps(current)}")
    percent = tables().limits["continuous_load"]
    least = up(percent_of(current, percent))
    return Figure(least, clause, f"{float(percent):g} % of {amps(current)}, continuous: {amps(least)}")


def _spans(minimum: Figure, maximum: Figure) -> tuple[Span, ...]:
    return tuple(Span(device, minimum, maximum) for device in _BREAKER_AND_FUSES)


def _by_conductors(circuit: Circuit, minimum: Figure) -> Figure:
    """Return the largest rating that protects the conductors (NEC 240.4).

    Where no ampacity is stated, they are taken as sized for the minimum. The smallest standard size is 15 A, which
    the smallest conductor of a power circuit, 14 AWG, stands (240.4(D)).
    """
    stated = circuit.conductor_ampacity
    ampacity = stated or minimum.current
    whose = f"conductors of {amps(ampacity)}" if stated else f"conductors sized for {amps(ampacity)}"
    if stated and stated > tables().limits["largest_next_size"] * AMPERE:
        return Figure(stated, "NEC 240.4(C)", f"{whose}: {amps(stated)}")
    size = next_size(Fraction(ampacity), tables().breaker_sizes) or ampacity
    return Figure(size, "NEC 240.4(B), 240.6(A)", f"{whose}, next standard size: {amps(size)}")


def _lower(first: Figure, second: Figure) -> Figure:
    return second if second.current < first.current else first


def _plain(circuit: Circuit, load: Lighting | PlainCurrent) -> Sizing:
    full_load = Figure(load.current, "as stated", f"stated: {amps(load.current)}")
    minimum = _minimum(load.current, circuit.continuous)
    return _sized(load, full_load, _spans(minimum, _by_conductors(circuit, minimum)))


def _heater(circuit: Circuit, heater: Heater) -> Sizing:
    """Return the sizing of a heater: continuous whatever is stated, and no more than 60 A to a circuit."""
    line = circuit.feed.line
    rated = heater.voltage.line if heater.voltage else line
    watts = Fraction(heater.watts) * line * line / (rated * rated)
    current = line_current(watts, line, circuit.ungrounded == 3)
    full_load = Figure(current, "Ohm's law", f"{float(watts):g} W at {line / 1000:g} V: {amps(current)}")
    minimum = _minimum(current, True, "NEC 424.4(B), 425.4(B)")
    cap = int(tables().limits["heater_circuit"] * AMPERE)
    capped = Figure(cap, "NEC 424.22, 425.22", f"a circuit of heating elements: {amps(cap)}")
    findings = []
    if minimum.current > cap:
        told = f"{amps(current)} is too much for one circuit of heating elements: divide it"
        findings.append(warning("heater-to-be-divided", "NEC 424.22, 425.22", told))
    if heater.voltage is not None and departs(heater.voltage, circuit.feed):
        told = f"a heater of {heater.voltage.text} in a circuit of {line / 1000:g} V gives another power"
        findings.append(warning("voltage-departs", "Ohm's law", told))
    spans = _spans(minimum, _lower(_by_conductors(circuit, minimum), capped))
    return _sized(heater, full_load, spans, *findings)


def _transformer(circuit: Circuit, load: TransformerLoad) -> Sizing:
    current = line_current(load.volt_amperes, circuit.feed.line, circuit.ungrounded == 3)
    told = f"{float(load.volt_amperes) / 1000:g} kVA at {circuit.feed.line / 1000:g} V: {amps(current)}"
    full_load = Figure(current, "rated current", told)
    minimum = _minimum(current, circuit.continuous)
    maximum = _transformer_limit(load, current)
    if circuit.conductor_ampacity:
        maximum = _lower(maximum, _by_conductors(circuit, minimum))
    findings = []
    if load.protection == "primary_and_secondary":
        told = "holds only with protection on the secondary too, by the same table"
        findings.append(note("secondary-protection-needed", "NEC 450.3(B)", told))
    return _sized(load, full_load, _spans(minimum, maximum), *findings)


def _transformer_limit(load: TransformerLoad, current: MilliAmperes) -> Figure:
    """Return the largest rating by NEC Table 450.3(B); note 1 permits the next standard size at 125 % only."""
    rows = tables().transformer[load.protection]
    row = next(row for row in rows if row.below is None or current < row.below)
    limit = percent_of(current, row.percent)
    size = next_size(limit, tables().breaker_sizes) if row.next_size else None
    told = f"{row.percent} % of {amps(current)}: {amps(int(limit))}"
    clause = row.clause.replace("NFPA 70 (NEC)", "NEC").replace("NEC, ", "NEC ")
    return Figure(size or int(limit), clause, f"{told}; next standard size: {amps(size)}" if size else told)


def _drive(circuit: Circuit, drive: Drive) -> Sizing:
    """Return the sizing of a drive: percentages of its motor's current (NEC 430.130(A)), within its instructions.

    The motor stands on the drive's output and has three phases, however many the drive is fed with.
    """
    percent = tables().limits["drive_minimum"]
    least = up(percent_of(drive.input_current, percent))
    told = f"{float(percent):g} % of the rated input current {amps(drive.input_current)}: {amps(least)}"
    minimum = Figure(least, "NEC 430.122(A)", told)
    motor = full_load_current(drive.motor, circuit, 3) if drive.motor else None
    base = motor.current if motor else drive.input_current
    row = percent_row(drive.motor or Motor(), circuit.feed, True)
    spans = []
    for device in _BREAKER_AND_FUSES:
        maximum = largest(device, base, row, circuit.round_up)
        spans.append(Span(device, minimum, _instructed(drive, replace(maximum, clause=_DRIVE))))
    full_load = Figure(drive.input_current, "as stated", f"rated input current: {amps(drive.input_current)}")
    return _sized(drive, full_load, tuple(spans), *_drive_findings(drive, motor))


def _drive_findings(drive: Drive, motor: Figure | None) -> Iterator[Finding]:
    if motor is None:
        told = "the motor's current is not known: the rated input current stands in for it"
        yield note("motor-current-not-known", _DRIVE, told)
    if drive.max_amperes is None:
        told = "the drive's instructions may set a lower limit and a type: state max_ampere_rating"
        yield warning("instructions-not-stated", "NEC 430.130(A)(2)", told)


def _instructed(drive: Drive, maximum: Figure) -> Figure:
    if drive.max_amperes is None or drive.max_amperes >= maximum.current:
        return maximum
    told = f"the drive's instructions: {amps(drive.max_amperes)} at most"
    return Figure(drive.max_amperes, "NEC 430.130(A)(2)", told)


def _receptacle(circuit: Circuit, load: Receptacle) -> Sizing:
    """Return the sizing of receptacles: one alone is rated at least its circuit; several by Table 210.21(B)(3)."""
    rated = amps(load.amperes)
    minimum = Figure(load.amperes, "NEC 210.21(B)", f"a receptacle of {rated}")
    if load.count == 1:
        maximum = Figure(load.amperes, "NEC 210.21(B)(1)", f"one receptacle of {rated} alone: {rated}")
    else:
        circuits = dict(tables().receptacle_circuits)
        most = circuits.get(load.amperes, load.amperes)
        maximum = Figure(most, "NEC Table 210.21(B)(3)", f"{load.count} receptacles of {rated}: {amps(most)}")
    full_load = Figure(load.amperes, "as stated", f"rating of the receptacle: {rated}")
    if circuit.conductor_ampacity:
        maximum = _lower(maximum, _by_conductors(circuit, minimum))
    return _sized(load, full_load, _spans(minimum, maximum))
