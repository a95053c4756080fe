"""What differs from UL 508A in Canada, read once from CSV tables, where each row names its source and confidence."""

import csv
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

from sccr.ul508a.tables import tables as ul508a_tables
from sccr.units import VOLT
from sccr.units import MilliVolts

FILES: Final = ("certification", "device_standards", "nominal_voltages", "phrases")

#: Rules of Canada alone, by their names in clauses.csv and differences.csv.
CERTIFICATION: Final = "certification"
DEVICE_STANDARD: Final = "device_standard"
NOMINAL_VOLTAGE: Final = "nominal_voltage"


@dataclass(frozen=True, slots=True)
class Clause:
    """Where a rule stands in the standards, and whether that is known from memory alone."""

    text: str
    from_memory: bool


@dataclass(frozen=True, slots=True)
class DeviceStandard:
    """The standards of a kind of component in the United States and in Canada."""

    ul: str
    csa: str


@dataclass(frozen=True, eq=False)
class Tables:
    """Every table of the rule set, with the digest that a rating names; two are the same where they are one object.

    clauses: by the clause of UL 508A whose method is used, or the name of a rule of Canada; certification: whether the
    text of a standard that begins so speaks for Canada, in small letters; nominal: written, by line-to-line [mV].
    """

    clauses: Mapping[str, Clause]
    differences: Mapping[str, str]
    certification: Mapping[str, bool]
    devices: Mapping[str, DeviceStandard]
    nominal: Mapping[MilliVolts, str]
    phrases: Mapping[str, str]
    digest: str


@cache
def tables() -> Tables:
    """Return the tables, read on the first call. Their digest covers every byte of them and those of UL 508A."""
    texts = _texts()
    rows = {name: tuple(csv.DictReader(text.splitlines())) for name, text in texts.items()}
    whole = [ul508a_tables().digest, *(f"{name}\n{texts[name]}" for name in sorted(texts))]
    return Tables(
        clauses={row["rule"]: Clause(row["clause"], row["confidence"] == "memory") for row in rows["clauses"]},
        differences={row["rule"]: row["difference"] for row in rows["differences"]},
        certification={row["prefix"].casefold(): row["counts"] == "yes" for row in rows["certification"]},
        devices={row["kind"]: DeviceStandard(row["ul"], row["csa"]) for row in rows["device_standards"]},
        nominal={int(row["line_v"]) * VOLT: row["written"] for row in rows["nominal_voltages"]},
        phrases={row["ul"]: row["csa"] for row in rows["phrases"]},
        digest=hashlib.sha256("\0".join(whole).encode()).hexdigest(),
    )


def _texts() -> dict[str, str]:
    folder = resources.files("sccr.csa286")
    texts = {name: folder.joinpath("tables", f"{name}.csv").read_text(encoding="utf-8") for name in FILES}
    texts.update((n, folder.joinpath(f"{n}.csv").read_text(encoding="utf-8")) for n in ("clauses", "differences"))
    return texts
