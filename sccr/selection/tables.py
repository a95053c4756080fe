"""The numbers that a choice rests on, read once from `tables/*.csv`: each row names its source and confidence."""

import csv
import hashlib
from collections.abc import Iterable
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any

from sccr.units import AMPERE
from sccr.units import VOLT
from sccr.units import MilliAmperes
from sccr.units import MilliVolts

Row = Mapping[str, str]
MotorRows = tuple[tuple[Fraction, MilliAmperes], ...]

FILES = (
    *("table_430_248", "table_430_250", "ul508a_380_to_415_v", "motor_voltages"),
    *("table_430_52", "table_430_52_exceptions", "table_430_7_b", "table_430_251_b", "table_430_32", "table_450_3_b"),
    *("standard_sizes", "table_210_21_b_3", "trip_curves", "inrush", "accessories", "fuse_types"),
    *("branch_standards", "limits"),
)


@dataclass(frozen=True, slots=True)
class VoltageColumn:
    """A column of the motor tables: the circuit voltages [mV] that it is read at, and where it is from."""

    name: str
    least: MilliVolts
    most: MilliVolts


@dataclass(frozen=True, slots=True)
class TransformerLimit:
    """A cell of Table 450.3(B): for currents below `below` [mA], the percentage, and whether it rounds up."""

    below: MilliAmperes | None
    percent: int
    next_size: bool
    clause: str


@dataclass(frozen=True, slots=True)
class Band:
    """A trip curve: the multiples of the ampere rating between which it trips at once."""

    curve: str
    least: Fraction
    most: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class Inrush:
    """What a load draws when it is switched on: rms in multiples of full load, and the first crest's excess."""

    multiple: Fraction
    first_crest: Fraction


@dataclass(frozen=True, slots=True)
class FuseType:
    """A fuse class: fit for a branch, and the column of Table 430.52 it is held to where the part does not say."""

    branch: bool
    unstated: str


@dataclass(frozen=True)
class Tables:
    """Every table of this package. `full_load`, `locked_rotor`: rows (horsepower, mA), by phases and column."""

    full_load: Mapping[tuple[int, str], MotorRows]
    locked_rotor: Mapping[tuple[int, str], MotorRows]
    columns: tuple[VoltageColumn, ...]
    motor_percent: Mapping[tuple[str, str], int]
    exceptions: Mapping[str, tuple[tuple[MilliAmperes | None, int], ...]]
    code_letters: Mapping[str, Fraction]
    overload_percent: Mapping[str, int]
    transformer: Mapping[str, tuple[TransformerLimit, ...]]
    breaker_sizes: tuple[MilliAmperes, ...]
    fuse_sizes: tuple[MilliAmperes, ...]
    receptacle_circuits: tuple[tuple[MilliAmperes, MilliAmperes], ...]
    curves: Mapping[str, Band]
    inrush: Mapping[str, Inrush]
    accessories: Mapping[str, str]
    fuse_types: Mapping[str, FuseType]
    branch_standards: Mapping[str, frozenset[str]]
    limits: Mapping[str, Fraction]
    digest: str


def next_size(current: Fraction, sizes: tuple[MilliAmperes, ...]) -> MilliAmperes | None:
    """Return the standard ampere rating [mA] at or next above a current; none above the largest."""
    return next((size for size in sizes if size >= current), None)


def size_not_above(current: Fraction, sizes: tuple[MilliAmperes, ...]) -> MilliAmperes | None:
    """Return the largest standard ampere rating [mA] not above a current; none below the smallest."""
    return next((size for size in reversed(sizes) if size <= current), None)


def _amperes(text: str) -> MilliAmperes:
    return int(Decimal(text) * AMPERE)


def _motors(rows: Mapping[str, tuple[Row, ...]], *named: tuple[int, str]) -> dict[tuple[int, str], MotorRows]:
    found: dict[tuple[int, str], list[tuple[Fraction, int]]] = {}
    for phases, name in named:
        for row in rows[name]:
            for column in filter(str.isdigit, row):
                if row[column]:
                    found.setdefault((phases, column), []).append((Fraction(row["horsepower"]), _amperes(row[column])))
    return {key: tuple(sorted(several)) for key, several in found.items()}


def _grouped(rows: Iterable[Row], name: str) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(row[name], []).append(row)
    return found


def _transformer_limit(row: Row) -> TransformerLimit:
    below = _amperes(row["below_a"]) if row["below_a"] else None
    return TransformerLimit(below, int(row["percent"]), row["next_standard_size"] == "yes", row["source"])


def _sizes(rows: Iterable[Row], fuses: bool) -> tuple[MilliAmperes, ...]:
    return tuple(sorted(_amperes(row["amperes"]) for row in rows if fuses or row["fuses_only"] == "no"))


def _exception(row: Row) -> tuple[MilliAmperes | None, int]:
    up_to = row["up_to_full_load_a"]
    return _amperes(up_to) if up_to else None, int(row["percent"])


@cache
def tables() -> Tables:
    """Return the tables, read on the first call. Their digest covers every byte of every file."""
    folder = resources.files("sccr.selection").joinpath("tables")
    texts = {name: folder.joinpath(f"{name}.csv").read_text(encoding="utf-8") for name in FILES}
    rows = {name: tuple(csv.DictReader(text.splitlines())) for name, text in texts.items()}
    digest = hashlib.sha256("\0".join(f"{name}\n{texts[name]}" for name in sorted(texts)).encode())
    return Tables(
        full_load=_motors(rows, (1, "table_430_248"), (3, "table_430_250"), (3, "ul508a_380_to_415_v")),
        locked_rotor=_motors(rows, (3, "table_430_251_b")),
        columns=tuple(
            VoltageColumn(row["column"], int(row["from_v"]) * VOLT, int(row["to_v"]) * VOLT)
            for row in rows["motor_voltages"]
        ),
        exceptions={
            device: tuple(map(_exception, several))
            for device, several in _grouped(rows["table_430_52_exceptions"], "device").items()
        },
        transformer={
            case: tuple(map(_transformer_limit, several))
            for case, several in _grouped(rows["table_450_3_b"], "protection").items()
        },
        breaker_sizes=_sizes(rows["standard_sizes"], fuses=False),
        fuse_sizes=_sizes(rows["standard_sizes"], fuses=True),
        digest=digest.hexdigest(),
        **_simple(rows),
    )


def _simple(rows: Mapping[str, tuple[Row, ...]]) -> dict[str, Any]:
    """Return the tables of which each row stands alone."""
    devices = ("non_time_delay_fuse", "time_delay_fuse", "inverse_time_breaker")
    return {
        "motor_percent": {(row["motor"], name): int(row[name]) for row in rows["table_430_52"] for name in devices},
        "code_letters": {row["letter"]: Fraction(row["kva_per_horsepower"]) for row in rows["table_430_7_b"]},
        "overload_percent": {row["case"]: int(row["percent"]) for row in rows["table_430_32"]},
        "receptacle_circuits": tuple(
            (_amperes(row["receptacle_a"]), _amperes(row["largest_circuit_a"])) for row in rows["table_210_21_b_3"]
        ),
        "curves": {row["curve"]: _band(row) for row in rows["trip_curves"]},
        "inrush": {
            row["load"]: Inrush(Fraction(row["multiple"]), Fraction(row["first_crest"])) for row in rows["inrush"]
        },
        "accessories": {row["accessory"]: row["means"] for row in rows["accessories"]},
        "fuse_types": {
            row["fuse_class"]: FuseType(row["branch"] == "yes", row["limit_when_not_stated"])
            for row in rows["fuse_types"]
        },
        "branch_standards": {
            kind: frozenset(row["standard"].casefold() for row in several)
            for kind, several in _grouped(rows["branch_standards"], "kind").items()
        },
        "limits": {row["name"]: Fraction(row["value"]) for row in rows["limits"]},
    }


def _band(row: Row) -> Band:
    return Band(row["curve"], Fraction(row["from_multiple"]), Fraction(row["to_multiple"]), row["source"])
