"""The numbers of the standard, read once from `tables/*.csv`, where each row names its source and confidence."""

import csv
import hashlib
from collections.abc import Iterable
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from functools import lru_cache
from importlib import resources

from sccr.units import KILOAMPERE
from sccr.units import VOLT
from sccr.units import MilliAmperes
from sccr.units import MilliVolts

Row = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Assumed:
    """A row of Table SB4.1: the value of an unmarked part [mA], up to the limits that the row states."""

    current: MilliAmperes
    condition: str
    up_to_hp: Decimal | None
    below_kw: Decimal | None
    up_to_v: Decimal | None
    up_to_a: Decimal | None
    up_to_kva: Decimal | None
    confidence: str


@dataclass(frozen=True, slots=True)
class LetThroughColumn:
    """A cell of Table SB4.2: at `available` [mA] the class lets through `peak` [mA peak] and `i2t` [10³ A²s]."""

    available: MilliAmperes
    peak: MilliAmperes
    i2t: Decimal
    confidence: str


@dataclass(frozen=True, slots=True)
class LetThroughRow:
    """A row of Table SB4.2: fuses of a class up to `amperes` [mA], in circuits up to `voltage` [mV]."""

    fuse_class: str
    voltage: MilliVolts
    amperes: MilliAmperes
    columns: tuple[LetThroughColumn, ...]

    def column(self, available: MilliAmperes) -> LetThroughColumn | None:
        """Return the column of exactly that available current, if the row has it."""
        return next((c for c in self.columns if c.available == available), None)


@dataclass(frozen=True, slots=True)
class FuseClass:
    """A fuse class: interrupting rating when unmarked [mA], its voltage limit [mV], the class it is read as.

    large_above, large_up_to: above what current [mA] its fuses are made for a lower voltage [mV], where they are.
    may_be_replaced: whether another class may take its place in a tested combination (R4).
    """

    name: str
    default_interrupting: MilliAmperes | None
    up_to: MilliVolts | None
    large_above: MilliAmperes | None
    large_up_to: MilliVolts | None
    assumed_row: str | None
    read_as: str | None
    may_be_replaced: bool

    def voltage_limit(self, amperes: MilliAmperes | None) -> MilliVolts | None:
        """Return up to what voltage [mV] a fuse of this class is worth anything unmarked; the lower if in doubt."""
        large = self.large_above is not None and (amperes is None or amperes > self.large_above)
        return self.large_up_to if large else self.up_to


@dataclass(frozen=True, slots=True)
class HolderClass:
    """A class of fuseholder: the fuse classes that fit it, and whether it rejects lower ones (method R7)."""

    accepts: frozenset[str]
    rejects_lower_classes: bool


@dataclass(frozen=True, slots=True)
class ScopeRow:
    """What a kind of component needs: a rating or not, its row of Table SB4.1, withstand or interrupting."""

    needs_rating: str  # "yes", "no" or "load"
    assumed_row: str | None
    interrupting: bool
    note: str


@dataclass(frozen=True, slots=True)
class TransformerRule:
    """A size limit of SB4.3.1: up to `volt_amperes` [VA] and `secondary` [mV], parts of at least `current` [mA]."""

    name: str
    volt_amperes: Decimal
    secondary: MilliVolts | None
    current: MilliAmperes


@dataclass(frozen=True, eq=False)
class Tables:
    """Every table of the standard, with the digest that a rating names; two are the same where they are one object."""

    assumed: Mapping[str, tuple[Assumed, ...]]
    let_through: Mapping[str, tuple[LetThroughRow, ...]]
    columns: tuple[MilliAmperes, ...]
    fuse_classes: Mapping[str, FuseClass]
    holders: Mapping[str, HolderClass]
    scope: Mapping[str, ScopeRow]
    transformer_rules: tuple[TransformerRule, ...]
    limits: Mapping[str, Decimal]
    clauses: Mapping[str, Row]
    digest: str

    def let_through_row(self, fuse_class: str, amperes: MilliAmperes, voltage: MilliVolts) -> LetThroughRow | None:
        """Return the row of a class at a row voltage [mV]: that of its amperes [mA] or the next larger (F6)."""
        return _let_through_row(self, fuse_class, amperes, voltage)

    def let_through_voltages(self, fuse_class: str) -> tuple[MilliVolts, ...]:
        """Return the voltages [mV] at which a class has rows, the lowest first."""
        return _let_through_voltages(self, fuse_class)


@lru_cache(maxsize=4096)
def _let_through_row(
    tables: Tables, fuse_class: str, amperes: MilliAmperes, voltage: MilliVolts
) -> LetThroughRow | None:
    rows = (r for r in tables.let_through.get(fuse_class, ()) if r.voltage == voltage and r.amperes >= amperes)
    return min(rows, key=lambda row: row.amperes, default=None)


@lru_cache(maxsize=128)
def _let_through_voltages(tables: Tables, fuse_class: str) -> tuple[MilliVolts, ...]:
    return tuple(sorted({row.voltage for row in tables.let_through.get(fuse_class, ())}))


def _decimal(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def _milliamperes(kiloamperes: str) -> MilliAmperes:
    return int(Decimal(kiloamperes) * KILOAMPERE)


def _millivolts(volts: str) -> MilliVolts | None:
    return int(Decimal(volts) * VOLT) if volts else None


def _assumed(rows: Iterable[Row]) -> dict[str, tuple[Assumed, ...]]:
    found: dict[str, list[Assumed]] = {}
    limits = ("up_to_hp", "below_kw", "up_to_v", "up_to_a", "up_to_kva")
    for row in rows:
        stated = {name: _decimal(row[name]) for name in limits}
        assumed = Assumed(_milliamperes(row["assumed_ka"]), row["condition"], **stated, confidence=row["confidence"])
        found.setdefault(row["row"], []).append(assumed)
    return {name: tuple(several) for name, several in found.items()}


def _let_through(rows: Iterable[Row]) -> dict[str, tuple[LetThroughRow, ...]]:
    cells: dict[tuple[str, int, int], list[LetThroughColumn]] = {}
    for row in rows:
        voltage, amperes = int(row["voltage_v"]) * VOLT, int(row["ampere_rating_a"]) * 1_000
        cell = LetThroughColumn(
            _milliamperes(row["available_ka"]),
            _milliamperes(row["peak_ka"]),
            Decimal(row["i2t_thousand_a2s"]),
            row["confidence"],
        )
        cells.setdefault((row["fuse_class"], voltage, amperes), []).append(cell)
    found: dict[str, list[LetThroughRow]] = {}
    for (name, voltage, amperes), columns in cells.items():
        ordered = tuple(sorted(columns, key=lambda column: column.available))
        found.setdefault(name, []).append(LetThroughRow(name, voltage, amperes, ordered))
    return {name: tuple(several) for name, several in found.items()}


def _fuse_class(row: Row) -> FuseClass:
    default = row["default_interrupting_ka"]
    return FuseClass(
        row["fuse_class"],
        _milliamperes(default) if default else None,
        _millivolts(row["up_to_v"]),
        int(row["large_above_a"]) * 1_000 if row["large_above_a"] else None,
        _millivolts(row["large_up_to_v"]),
        row["assumed_row"] or None,
        row["read_as"] or None,
        row["may_be_replaced"] == "yes",
    )


def _scope(row: Row) -> ScopeRow:
    return ScopeRow(row["needs_rating"], row["assumed_row"] or None, row["held_to"] == "interrupting", row["note"])


def _transformer_rule(row: Row) -> TransformerRule:
    volt_amperes = Decimal(row["up_to_kva"]) * 1_000
    secondary = _millivolts(row["up_to_secondary_v"])
    return TransformerRule(row["rule"], volt_amperes, secondary, _milliamperes(row["secondary_at_least_ka"]))


def _holder(row: Row) -> HolderClass:
    return HolderClass(frozenset(row["accepts"].split()), row["rejects_lower_classes"] == "yes")


FILES = ("sb4_1_assumed", "sb4_2_let_through", "fuse_classes", "fuse_holders", "scope", "transformer_rules", "limits")


@cache
def tables() -> Tables:
    """Return the tables, read on the first call. Their digest covers every byte of every file."""
    folder = resources.files("sccr.ul508a").joinpath("tables")
    texts = {name: folder.joinpath(f"{name}.csv").read_text(encoding="utf-8") for name in FILES}
    texts["clauses"] = resources.files("sccr.ul508a").joinpath("clauses.csv").read_text(encoding="utf-8")
    texts["kinds"] = resources.files("sccr.panel").joinpath("kinds.csv").read_text(encoding="utf-8")
    rows = {name: tuple(csv.DictReader(text.splitlines())) for name, text in texts.items()}
    let_through = _let_through(rows["sb4_2_let_through"])
    available = {column.available for several in let_through.values() for row in several for column in row.columns}
    digest = hashlib.sha256("\0".join(f"{name}\n{texts[name]}" for name in sorted(texts)).encode())
    return Tables(
        assumed=_assumed(rows["sb4_1_assumed"]),
        let_through=let_through,
        columns=tuple(sorted(available)),
        fuse_classes={row["fuse_class"]: _fuse_class(row) for row in rows["fuse_classes"]},
        holders={row["holder_class"]: _holder(row) for row in rows["fuse_holders"]},
        scope={row["kind"]: _scope(row) for row in rows["scope"]},
        transformer_rules=tuple(_transformer_rule(row) for row in rows["transformer_rules"]),
        limits={row["name"]: Decimal(row["value"]) for row in rows["limits"]},
        clauses={row["clause"]: row for row in rows["clauses"]},
        digest=digest.hexdigest(),
    )
