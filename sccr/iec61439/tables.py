"""The numbers of the standards, read once from CSV tables, where each row names its source and confidence."""

import csv
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Final

from sccr.units import KILO
from sccr.units import KILOAMPERE
from sccr.units import VOLT
from sccr.units import MilliAmperes
from sccr.units import MilliVolts

FILES: Final = ("peak_factors", "limits", "roles", "fuse_holders")


@dataclass(frozen=True, slots=True)
class PeakFactor:
    """A row of Table 7: up to and including `up_to` [mA rms], None without end, the peak is n times the current."""

    up_to: MilliAmperes | None
    n: Decimal


@dataclass(frozen=True, slots=True)
class Role:
    """What a kind of component is held to: 'breaking', 'withstand', 'conductor', 'load' or 'none'.

    coordinated: whether the types of coordination of IEC 60947-4-1 apply to it.
    """

    name: str
    coordinated: bool


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of IEC 61439-1, 10.11.2 and of the transformers: currents [mA], VA, mV, percent, factors."""

    unverified_current: MilliAmperes
    unverified_cut_off: MilliAmperes
    auxiliary_va: Decimal
    auxiliary_va_low: Decimal
    auxiliary_voltage: MilliVolts
    auxiliary_impedance: Decimal
    voltage_factor: Decimal
    earth_fault: Decimal
    impedance_tolerance: Decimal


@dataclass(frozen=True, slots=True)
class Clause:
    """Where a rule stands in the standards, and whether that is known from memory alone."""

    text: str
    from_memory: bool


@dataclass(frozen=True, eq=False)
class Tables:
    """Every table of the rule set, with the digest that a rating names; two are the same where they are one object."""

    peak_factors: tuple[PeakFactor, ...]
    limits: Limits
    roles: Mapping[str, Role]
    non_rejecting_holders: frozenset[str]
    clauses: Mapping[str, Clause]
    differences: Mapping[str, str]
    digest: str


def _peak_factor(row: Mapping[str, str]) -> PeakFactor:
    up_to = int(Decimal(row["up_to_ka"]) * KILOAMPERE) if row["up_to_ka"] else None
    return PeakFactor(up_to, Decimal(row["n"]))


def _limits(rows: tuple[Mapping[str, str], ...]) -> Limits:
    value = {row["name"]: Decimal(row["value"]) for row in rows}
    return Limits(
        unverified_current=int(value["unverified_current"] * KILOAMPERE),
        unverified_cut_off=int(value["unverified_cut_off"] * KILOAMPERE),
        auxiliary_va=value["auxiliary_kva"] * KILO,
        auxiliary_va_low=value["auxiliary_kva_low"] * KILO,
        auxiliary_voltage=int(value["auxiliary_voltage"] * VOLT),
        auxiliary_impedance=value["auxiliary_impedance"],
        voltage_factor=value["voltage_factor"],
        earth_fault=value["earth_fault"],
        impedance_tolerance=value["impedance_tolerance"],
    )


def _texts() -> dict[str, str]:
    folder = resources.files("sccr.iec61439")
    texts = {name: folder.joinpath("tables", f"{name}.csv").read_text(encoding="utf-8") for name in FILES}
    texts.update((n, folder.joinpath(f"{n}.csv").read_text(encoding="utf-8")) for n in ("clauses", "differences"))
    texts["kinds"] = resources.files("sccr.panel").joinpath("kinds.csv").read_text(encoding="utf-8")
    return texts


@cache
def tables() -> Tables:
    """Return the tables, read on the first call. Their digest covers every byte of every file."""
    texts = _texts()
    rows = {name: tuple(csv.DictReader(text.splitlines())) for name, text in texts.items()}
    digest = hashlib.sha256("\0".join(f"{name}\n{texts[name]}" for name in sorted(texts)).encode())
    return Tables(
        peak_factors=tuple(_peak_factor(row) for row in rows["peak_factors"]),
        limits=_limits(rows["limits"]),
        roles={row["kind"]: Role(row["role"], row["coordinated"] == "yes") for row in rows["roles"]},
        non_rejecting_holders=frozenset(row["holder_class"] for row in rows["fuse_holders"]),
        clauses={row["rule"]: Clause(row["clause"], row["confidence"] == "memory") for row in rows["clauses"]},
        differences={row["rule"]: row["difference"] for row in rows["differences"]},
        digest=digest.hexdigest(),
    )
