"""The numbers of the calculation, read once from `tables/*.csv`, where each row names its source and confidence."""

import csv
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final

from sccr.fault_current.result import Finding
from sccr.fault_current.site import Conduit
from sccr.fault_current.site import Material

Row = Mapping[str, str]

FILES: Final = (
    "defaults",
    "iec_60228",
    "motor_groups",
    "nec_table8",
    "nec_table9",
    "nominal_voltages",
    "peak_factors",
    "pitfalls",
    "resistance_temperature",
    "test_circuits",
    "transformer_sizes",
    "transformer_tolerances",
    "voltage_factors",
)

_FOOT: Final = 0.3048
_PER_THOUSAND_FEET: Final = 1 / (1000 * _FOOT)
_PER_KILOMETER: Final = 1 / 1000
#: Confidences that call for a look into the printed table: one copy, or from memory.
_WEAK: Final = frozenset({"B", "C", "D"})


@dataclass(frozen=True, slots=True)
class Band:
    """Resistance of one conductor [Ω/m], least and most that the tables allow, at the temperature of their rows."""

    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Size:
    """A conductor of the tables: area [mm²]; R by material and conduit, X by conduit [Ω/m]; what they rest on.

    basis: 'nec' (75 °C, 60 Hz) or 'metric' (20 °C, 50 Hz); weak: cells seen in one copy only, or from memory.
    """

    name: str
    basis: str
    area: float
    resistance: Mapping[tuple[Material, Conduit], Band]
    reactance: Mapping[Conduit, float]
    source: str
    weak: bool

    @property
    def frequency(self) -> float:
        """Return the frequency of the reactances [Hz]."""
        return 60.0 if self.basis == "nec" else 50.0


@dataclass(frozen=True, slots=True)
class Drift:
    """How resistance moves with temperature: R(T) = R(reference) × (1 + per_kelvin × (T − reference))."""

    reference: float
    per_kelvin: float


@dataclass(frozen=True, slots=True)
class VoltageFactor:
    """The voltage factor c of IEC 60909-0 up to a voltage [V]."""

    up_to: float
    tolerance: int | None
    most: float
    least: float


@dataclass(frozen=True, slots=True)
class DeviceTest:
    """How devices of a kind are tested, for ratings [A] over one limit and up to another: power factor, and by what.

    power_factor: the highest of the range that the test may have, so that its X/R is on the safe side.
    """

    device: str
    over: float
    up_to: float
    power_factor: float
    held_by: str


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What a standard lets the impedance of a transformer be off [%], and under which condition."""

    standard: str
    condition: str
    tolerance: float


@dataclass(frozen=True)
class Tables:
    """Every table, with the digest that a result names."""

    sizes: Mapping[str, Size]
    drift: Mapping[tuple[Material, str], Drift]
    voltage_factors: tuple[VoltageFactor, ...]
    device_tests: tuple[DeviceTest, ...]
    motor_groups: Mapping[str, float]
    defaults: Mapping[str, float]
    standard_sizes: Mapping[int, frozenset[float]]
    fan_factors: tuple[float, ...]
    transformer_tolerances: tuple[Tolerance, ...]
    nominal_voltages: frozenset[float]
    pitfalls: tuple[Row, ...]
    severities: Mapping[str, str]
    digest: str


@cache
def tables() -> Tables:
    """Return the tables, read on the first call. Their digest covers every byte of every file."""
    folder = resources.files("sccr.fault_current").joinpath("tables")
    texts = {name: folder.joinpath(f"{name}.csv").read_text(encoding="utf-8") for name in FILES}
    rows = {name: tuple(csv.DictReader(text.splitlines())) for name, text in texts.items()}
    sizes = [*_nec_sizes(rows["nec_table9"], _stranded(rows["nec_table8"])), *_metric_sizes(rows["iec_60228"])]
    digest = hashlib.sha256("\0".join(f"{name}\n{texts[name]}" for name in sorted(texts)).encode())
    return Tables(
        sizes=MappingProxyType({size.name: size for size in sizes}),
        drift={
            (Material(row["material"]), row["basis"]): Drift(float(row["reference_c"]), float(row["per_kelvin"]))
            for row in rows["resistance_temperature"]
        },
        voltage_factors=tuple(_voltage_factor(row) for row in rows["voltage_factors"]),
        device_tests=tuple(_device_test(row) for row in rows["test_circuits"]),
        motor_groups={row["group"]: float(row["times_full_load_current"]) for row in rows["motor_groups"]},
        defaults={row["name"]: float(row["value"]) for row in rows["defaults"]},
        standard_sizes={phases: _standard_sizes(rows["transformer_sizes"], phases) for phases in (1, 3)},
        fan_factors=tuple(float(r["value"]) for r in rows["transformer_sizes"] if r["what"] == "fan_factor"),
        transformer_tolerances=tuple(_tolerance(row) for row in rows["transformer_tolerances"]),
        nominal_voltages=frozenset(float(row["volts"]) for row in rows["nominal_voltages"]),
        pitfalls=rows["pitfalls"],
        severities={code: row["severity"] for row in rows["pitfalls"] for code in row["codes"].split()},
        digest=digest.hexdigest(),
    )


def finding(code: str, element: str | None, message: str) -> Finding:
    """Return a finding with the severity that `pitfalls.csv` gives its code."""
    return Finding(tables().severities[code], code, element, message)


def _tolerance(row: Row) -> Tolerance:
    return Tolerance(row["standard"], row["condition"], float(row["tolerance_percent"]))


def _stranded(rows: tuple[Row, ...]) -> dict[str, Row]:
    return {row["size_awg_kcmil"]: row for row in rows if int(row["stranding_qty"]) > 1}


def _nec_name(size: str) -> str:
    return f"{size} kcmil" if "/" not in size and int(size) >= 250 else f"{size} AWG"


def _nec_sizes(rows: tuple[Row, ...], stranded: Mapping[str, Row]) -> list[Size]:
    """Return the sizes of Table 9, and 18 and 16 AWG with the resistance of Table 8 and the reactance of 14 AWG."""
    sizes = [_nec_size(row["size_awg_kcmil"], row, stranded[row["size_awg_kcmil"]]) for row in rows]
    smallest = {**rows[0], **{column: "" for column in rows[0] if column.startswith("r_")}}
    return [*(_nec_size(size, smallest, stranded[size]) for size in ("18", "16")), *sizes]


_COLUMNS: Final = {Conduit.PVC: "pvc", Conduit.ALUMINUM: "al_conduit", Conduit.STEEL: "steel"}
_METALS: Final = {Material.COPPER: ("cu", "cu_uncoated"), Material.ALUMINUM: ("al", "al")}


def _nec_size(size: str, effective: Row, direct: Row) -> Size:
    resistance = {}
    for material, (metal, dc) in _METALS.items():
        for conduit, column in _COLUMNS.items():
            told = [effective[f"r_{metal}_{column}_ohm_per_kft"]]
            if int(direct["area_cmil"]) <= _ROUNDED:
                told.append(direct[f"r_dc_{dc}_75C_ohm_per_kft"])
            values = [float(each) * _PER_THOUSAND_FEET for each in told if each]
            if values:
                resistance[material, conduit] = Band(min(values), max(values))
    steel = float(effective["x_steel_conduit_ohm_per_kft"]) * _PER_THOUSAND_FEET
    other = float(effective["x_pvc_or_al_conduit_ohm_per_kft"]) * _PER_THOUSAND_FEET
    return Size(
        name=_nec_name(size),
        basis="nec",
        area=int(direct["area_cmil"]) * _SQUARE_MILLIMETERS_PER_CMIL,
        resistance=resistance,
        reactance={Conduit.STEEL: steel, Conduit.PVC: other, Conduit.ALUMINUM: other},
        source="NEC Chapter 9, Tables 8 and 9",
        weak=any(effective[name] in _WEAK for name in effective if name.startswith("confidence")),
    )


#: Up to 3 AWG [cmil] Table 9 has two digits only: Table 8 is asked as well, and the safe one of both is taken.
_ROUNDED: Final = 52_620
_SQUARE_MILLIMETERS_PER_CMIL: Final = 5.067075e-4
#: Steel raises reactance by about a quarter in every row of Table 9.
_STEEL: Final = 1.25


def _metric_sizes(rows: tuple[Row, ...]) -> list[Size]:
    sizes = []
    for row in rows:
        resistance = {}
        for material, (metal, _) in _METALS.items():
            told = row[f"r_{metal}_20C_ohm_per_km"]
            if told:
                value = float(told) * _PER_KILOMETER
                resistance.update({(material, conduit): Band(value, value) for conduit in Conduit})
        reactance = float(row["x_50hz_ohm_per_km"]) * _PER_KILOMETER
        by_conduit = {conduit: reactance * (_STEEL if conduit is Conduit.STEEL else 1) for conduit in Conduit}
        name, area = f"{row['size_mm2']} mm²", float(row["size_mm2"])
        sizes.append(Size(name, "metric", area, resistance, by_conduit, "IEC 60228, from memory", weak=True))
    return sizes


def _voltage_factor(row: Row) -> VoltageFactor:
    tolerance = int(row["tolerance_percent"]) if row["tolerance_percent"] else None
    up_to = float(row["up_to_v"]) if row["up_to_v"] else float("inf")
    return VoltageFactor(up_to, tolerance, float(row["c_max"]), float(row["c_min"]))


def _device_test(row: Row) -> DeviceTest:
    up_to = float(row["up_to_a"]) if row["up_to_a"] else float("inf")
    power_factor = float(row["lowest_x_over_r_power_factor"])
    return DeviceTest(row["device"], float(row["over_a"]), up_to, power_factor, row["held_by"])


def _standard_sizes(rows: tuple[Row, ...], phases: int) -> frozenset[float]:
    return frozenset(float(row["value"]) for row in rows if row["what"] == "size" and row["phases"] == str(phases))
