"""Full-load and locked-rotor current of a motor (NEC 430.6, Tables 430.248, 430.250, 430.7(B))."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from sccr.panel.component import Power
from sccr.selection.circuit import Motor
from sccr.selection.circuit import MotorType
from sccr.selection.exact import line_current
from sccr.selection.exact import up
from sccr.selection.requirement import Figure
from sccr.selection.requirement import amps
from sccr.selection.tables import MotorRows
from sccr.selection.tables import tables
from sccr.units import MilliAmperes
from sccr.units import MilliVolts

WATTS_PER_HORSEPOWER = 746
_TABLES = {1: "Table 430.248", 3: "Table 430.250"}


def horsepower_of(power: Power) -> Fraction:
    """Return a power in horsepower; 746 W are one, as NEC Article 430 converts it."""
    if power.horsepower is not None:
        return Fraction(power.horsepower)
    return Fraction(power.watts or Decimal(0)) / WATTS_PER_HORSEPOWER


def table_current(power: Power, line: MilliVolts, phases: int) -> Figure | None:
    """Return the full-load current by the table of the motor's phases (NEC 430.6(A)(1)), or nothing outside it.

    A power within 4 % of a row is that row: 0.33 hp, 11 kW. Between rows the current is interpolated.
    """
    column = _column(line)
    rows = tables().full_load.get((phases, column))
    if rows is None:
        return None
    clause = f"NEC 430.6(A)(1), {_TABLES[phases]}" if column != "400" else "UL 508A, motor currents at 380 to 415 V"
    wanted = horsepower_of(power)
    row = _row(rows, wanted)
    if row is not None:
        return Figure(row[1], clause, f"{_text(row[0])} hp at {column} V: {amps(row[1])}")
    return _interpolated(rows, wanted, clause, column)


def _column(line: MilliVolts) -> str:
    return next((column.name for column in tables().columns if column.least <= line <= column.most), "")


def _row(rows: MotorRows, wanted: Fraction) -> tuple[Fraction, MilliAmperes] | None:
    nearest = min(rows, key=lambda row: abs(row[0] - wanted))
    near = abs(nearest[0] - wanted) * 100 <= nearest[0] * tables().limits["horsepower_pairing"]
    return nearest if near else None


def _interpolated(rows: MotorRows, wanted: Fraction, clause: str, column: str) -> Figure | None:
    for (less, low), (more, high) in pairwise(rows):
        if less < wanted < more:
            current = up(low + (high - low) * (wanted - less) / (more - less))
            told = f"{_text(wanted)} hp at {column} V, between {_text(less)} and {_text(more)} hp: {amps(current)}"
            return Figure(current, clause, f"{told}, interpolated")
    return None


def _text(horsepower: Fraction) -> str:
    return f"{float(horsepower):.4g}"


def locked_rotor(motor: Motor, full_load: MilliAmperes, line: MilliVolts, three_phase: bool) -> Figure:
    """Return what the motor draws at standstill, first crest included, as the rms of a current with that crest.

    By its code letter at the upper end of the letter's range (Table 430.7(B)), else by Table 430.251(B), else by the
    usual multiple.
    """
    usual = tables().inrush["motor"]
    standstill = (
        _by_letter(motor, line, three_phase)
        or _by_table(motor, line, three_phase)
        or Figure(
            up(full_load * usual.multiple),
            "common practice, no source",
            f"locked rotor taken as {float(usual.multiple):g} times full load",
        )
    )
    crest = up(standstill.current * usual.first_crest)
    told = f"{standstill.statement}: {amps(standstill.current)}; first crest {float(usual.first_crest):g} times"
    return Figure(crest, standstill.clause, f"{told}: {amps(crest)}")


def _by_letter(motor: Motor, line: MilliVolts, three_phase: bool) -> Figure | None:
    if motor.code_letter is None or motor.power is None:
        return None
    each = tables().code_letters[motor.code_letter]
    current = line_current(each * horsepower_of(motor.power) * 1_000, line, three_phase)
    told = f"code letter {motor.code_letter}, {float(each):g} kVA a horsepower"
    return Figure(current, "NEC 430.7(B), Table 430.7(B)", told)


def _by_table(motor: Motor, line: MilliVolts, three_phase: bool) -> Figure | None:
    """Return the locked-rotor current of Table 430.251(B): of the motor's row, else the next larger."""
    rows = tables().locked_rotor.get((3, _column(line)), ())
    if not three_phase or motor.power is None or motor.type is MotorType.WOUND_ROTOR:
        return None
    wanted = horsepower_of(motor.power)
    row = (_row(rows, wanted) if rows else None) or next((row for row in rows if row[0] >= wanted), None)
    if row is None:
        return None
    return Figure(row[1], "NEC Table 430.251(B)", f"locked rotor of {_text(row[0])} hp")
