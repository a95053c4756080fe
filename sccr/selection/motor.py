"""A motor circuit: short-circuit and ground-fault protection by NEC 430.52, overload by 430.32."""

from collections.abc import Iterator
from fractions import Fraction

from sccr.panel.feeds import Feed
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.result import Finding
from sccr.selection.circuit import Circuit
from sccr.selection.circuit import Motor
from sccr.selection.exact import percent_of
from sccr.selection.exact import up
from sccr.selection.motor_current import locked_rotor
from sccr.selection.motor_current import table_current
from sccr.selection.requirement import BREAKER
from sccr.selection.requirement import NON_TIME_DELAY_FUSE
from sccr.selection.requirement import SELF_PROTECTED
from sccr.selection.requirement import TIME_DELAY_FUSE
from sccr.selection.requirement import Figure
from sccr.selection.requirement import Sizing
from sccr.selection.requirement import Span
from sccr.selection.requirement import amps
from sccr.selection.requirement import error
from sccr.selection.requirement import note
from sccr.selection.requirement import warning
from sccr.selection.tables import next_size
from sccr.selection.tables import size_not_above
from sccr.selection.tables import tables
from sccr.units import MilliAmperes


def motor_sizing(circuit: Circuit, motor: Motor) -> Sizing:
    """Return the sizing of a motor circuit; one whose full-load current cannot be told has an error instead."""
    feed = circuit.feed
    line = motor.voltage.line if motor.voltage else feed.line
    three_phase = circuit.ungrounded == 3
    full_load = full_load_current(motor, circuit, 3 if three_phase else 1)
    if full_load is None:
        return Sizing(findings=(_unknown_current(motor, line),))
    row = percent_row(motor, feed, three_phase)
    spans = (*_spans(circuit, full_load.current, row), _self_protected(motor, full_load))
    return Sizing(
        full_load=full_load,
        spans=spans,
        overload=_overload(motor, full_load),
        inrush=locked_rotor(motor, full_load.current, line, three_phase),
        findings=tuple(_findings(motor, full_load, feed)),
    )


def full_load_current(motor: Motor, circuit: Circuit, phases: int) -> Figure | None:
    """Return the full-load current that conductors and protection are sized by (NEC 430.6(A)).

    The table's wherever the power is known; the nameplate's for low speeds and where the power is not.
    """
    stated = motor.full_load_current
    if stated is not None and (motor.low_speed or motor.power is None or circuit.system is System.DC):
        return Figure(stated, "NEC 430.6(A)(1)", f"nameplate full-load current: {amps(stated)}")
    if motor.power is None or circuit.system is System.DC:
        return None
    line = motor.voltage.line if motor.voltage else circuit.feed.line
    found = table_current(motor.power, line, phases)
    if found is None and stated is not None:
        return Figure(stated, "NEC 430.6(A)(1)", f"nameplate full-load current, the tables have none: {amps(stated)}")
    return found


def percent_row(motor: Motor, feed: Feed, three_phase: bool) -> str:
    """Return the row of Table 430.52 that a motor is read in."""
    if feed.system is System.DC:
        return "dc"
    return str(motor.type) if three_phase else "single_phase"


def _unknown_current(motor: Motor, line: int) -> Finding:
    told = f"the tables have no motor of this power at {Voltage(line).text}: state its full_load_current"
    return error("full-load-current-unknown", "NEC 430.6(A)", told)


def _spans(circuit: Circuit, full_load: MilliAmperes, row: str) -> Iterator[Span]:
    percent = tables().limits["motor_minimum"]
    least = up(percent_of(full_load, percent))
    told = f"{float(percent):g} % of {amps(full_load)}: {amps(least)}, so that it carries the running current"
    minimum = Figure(least, "NEC 430.22; common practice, no source", told)
    for device in (BREAKER, TIME_DELAY_FUSE, NON_TIME_DELAY_FUSE):
        maximum = largest(device, full_load, row, circuit.round_up)
        yield Span(device, minimum, maximum, _exceptional(device, full_load))


def largest(device: str, full_load: MilliAmperes, row: str, round_up: bool) -> Figure:
    """Return the largest ampere rating of a type of device (NEC 430.52(C)(1), Table 430.52).

    Where the percentage is no standard size (240.6(A)), the next higher one is permitted; with round_up false the
    size not above it is the limit, and the smallest standard size where there is none.
    """
    percent = tables().motor_percent[row, device]
    limit = percent_of(full_load, percent)
    sizes = tables().breaker_sizes if device == BREAKER else tables().fuse_sizes
    size = (next_size(limit, sizes) if round_up else size_not_above(limit, sizes)) or sizes[-1 if round_up else 0]
    how = "next standard size" if round_up else "standard size not above"
    told = f"{percent} % of {amps(full_load)}: {amps(up(limit))}; {how}: {amps(size)}"
    return Figure(size, "NEC 430.52(C)(1), Table 430.52; 240.6(A)", told)


def _exceptional(device: str, full_load: MilliAmperes) -> Figure:
    rows = tables().exceptions[device]
    percent = next(percent for up_to, percent in rows if up_to is None or full_load <= up_to)
    limit = int(percent_of(full_load, percent))
    told = f"{percent} % of {amps(full_load)}: {amps(limit)}, only where the motor does not start otherwise"
    return Figure(limit, "NEC 430.52(C)(1), exceptions", told)


def _self_protected(motor: Motor, full_load: Figure) -> Span:
    """Return the highest settings of a self-protected controller whose range can hold the motor's current."""
    running = motor.full_load_current or full_load.current
    span = tables().limits["setting_span"]
    most = int(running * span)
    least = Figure(running, "NEC 430.32", f"set to the motor's {amps(running)}")
    told = f"its lowest setting, taken as 1/{float(span):g} of the highest, reaches {amps(running)}: {amps(most)}"
    return Span(SELF_PROTECTED, least, Figure(most, "NEC 430.52(C)(6); common practice, no source", told))


def _overload(motor: Motor, full_load: Figure) -> Figure:
    """Return where overload protection must trip at the latest (NEC 430.32(A)(1)): of the nameplate's current."""
    limits = tables().limits
    rise, factor = motor.temperature_rise, motor.service_factor
    eased = (rise is not None and Fraction(rise) <= limits["temperature_rise"]) or (
        factor is not None and Fraction(factor) >= limits["service_factor"]
    )
    percent = tables().overload_percent["service_factor_or_cool" if eased else "all_other"]
    running = motor.full_load_current or full_load.current
    trip = int(percent_of(running, percent))
    return Figure(trip, "NEC 430.32(A)(1)", f"{percent} % of {amps(running)}: {amps(trip)}")


def _findings(motor: Motor, full_load: Figure, feed: Feed) -> Iterator[Finding]:
    if motor.full_load_current is None:
        told = "overload is set by the nameplate's full-load current; the table's stands in for it here"
        yield note("nameplate-current-not-stated", "NEC 430.6(A)(2)", told)
    elif motor.full_load_current > full_load.current:
        told = f"the nameplate's {amps(motor.full_load_current)} are above the table's: state low_speed if so built"
        yield warning("nameplate-above-table", "NEC 430.6(A)(1)", told)
    if motor.power is None:
        told = "no power is stated: the nameplate's current stands in for the table's"
        yield note("table-current-not-used", "NEC 430.6(A)(1)", told)
    if full_load.statement.endswith("interpolated"):
        yield note("interpolated", full_load.clause, full_load.statement)
    if motor.code_letter == "V":
        told = "code letter V has no upper end: ask for the locked-rotor current"
        yield warning("open-code-letter", "NEC 430.7(B)", told)
    if motor.voltage is not None and departs(motor.voltage, feed):
        told = f"a motor of {motor.voltage.text} in a circuit of {Voltage(feed.line).text}"
        yield warning("voltage-departs", "common practice, no source", told)


def departs(rated: Voltage, feed: Feed) -> bool:
    """Return whether a load's rated voltage is further from the circuit's than utilization voltages usually are."""
    return abs(feed.line - rated.line) * 100 > rated.line * tables().limits["voltage_departure"]
