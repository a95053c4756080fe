"""The tables held against themselves: what a wrong copy of one cell would break."""

import csv
from decimal import Decimal
from math import acos
from math import sin
from pathlib import Path

import pytest

from sccr.fault_current import tables as module
from sccr.fault_current.asymmetry import kappa_peak
from sccr.fault_current.site import Conduit
from sccr.fault_current.site import Material
from sccr.fault_current.tables import FILES
from sccr.fault_current.tables import tables

TABLES = Path(module.__file__).parent / "tables"
CONFIDENCES = {"A", "B+", "B", "C", "D", ""}
CONDUITS = ("pvc", "al_conduit", "steel")


def rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((TABLES / f"{name}.csv").read_text("utf-8").splitlines()))


NINE = rows("nec_table9")
EIGHT = {row["size_awg_kcmil"]: row for row in rows("nec_table8") if row["stranding_qty"] != "1"}

#: Effective Z at power factor 0.85 as printed, ohm/kft: copper in aluminum conduit and in steel, from memory.
#: Z = R cos φ + X sin φ.
EFFECTIVE = {
    "14": (2.7, 2.7),
    "12": (1.7, 1.7),
    "10": (1.1, 1.1),
    "8": (0.69, 0.70),
    "6": (0.44, 0.45),
    "4": (0.29, 0.30),
    "3": (0.23, 0.24),
    "2": (0.19, 0.20),
    "1": (0.16, 0.16),
    "1/0": (0.13, 0.13),
    "2/0": (0.11, 0.11),
    "3/0": (0.092, 0.094),
    "4/0": (0.078, 0.080),
    "250": (0.070, 0.073),
    "300": (0.063, 0.065),
    "350": (0.058, 0.060),
    "400": (0.053, 0.056),
    "500": (0.048, 0.050),
    "600": (0.044, 0.047),
    "750": (0.040, 0.043),
    "1000": (0.036, 0.040),
}


def half_unit(text: str) -> float:
    """Half of the last digit printed: what rounding can have taken or added."""
    exponent = Decimal(text).as_tuple().exponent
    assert isinstance(exponent, int)
    return 0.5 * 10**exponent


@pytest.mark.parametrize("row", NINE, ids=lambda row: row["size_awg_kcmil"])
def test_1_effective_impedances_lie_within_the_rounding_of_r_and_x(row: dict[str, str]) -> None:
    """NEC Chapter 9, Table 9, effective Z at 0.85 of copper in aluminum conduit and in steel."""
    cosine, sine = 0.85, sin(acos(0.85))
    cells = (("r_cu_al_conduit_ohm_per_kft", "x_pvc_or_al_conduit"), ("r_cu_steel_ohm_per_kft", "x_steel_conduit"))
    for (resistance, reactance), printed in zip(cells, EFFECTIVE[row["size_awg_kcmil"]], strict=True):
        r, x = row[resistance], row[f"{reactance}_ohm_per_kft"]
        middle = float(r) * cosine + float(x) * sine
        slack = half_unit(r) * cosine + half_unit(x) * sine + half_unit(str(printed))
        assert abs(middle - printed) <= slack + 1e-9


#: Table 9 of the 2008 Code, ohm/km, the metric rows: X in PVC or aluminum, X in steel; R of copper in each conduit.
METRIC = {
    "14": (0.190, 0.240, 10.2, 10.2, 10.2),
    "12": (0.177, 0.223, 6.6, 6.6, 6.6),
    "10": (0.164, 0.207, 3.9, 3.9, 3.9),
    "8": (0.171, 0.213, 2.56, 2.56, 2.56),
    "6": (0.167, 0.210, 1.61, 1.61, 1.61),
    "4": (0.157, 0.197, 1.02, 1.02, 1.02),
    "3": (0.154, 0.194, 0.82, 0.82, 0.82),
    "2": (0.148, 0.187, 0.62, 0.66, 0.66),
    "1": (0.151, 0.187, 0.49, 0.52, 0.52),
    "1/0": (0.144, 0.180, 0.39, 0.43, 0.39),
}


@pytest.mark.parametrize("size", METRIC)
def test_2_metric_and_imperial_rows_agree(size: str) -> None:
    """The two rows of a size, 14 AWG to 1/0 AWG (metric rows from memory), within the rounding of either."""
    row = next(each for each in NINE if each["size_awg_kcmil"] == size)
    columns = ["x_pvc_or_al_conduit", "x_steel_conduit", *(f"r_cu_{conduit}" for conduit in CONDUITS)]
    for column, metric in zip(columns, METRIC[size], strict=True):
        imperial = row[f"{column}_ohm_per_kft"]
        assert float(imperial) / 0.3048 == pytest.approx(metric, rel=0.016, abs=half_unit(imperial) / 0.3048)


@pytest.mark.parametrize(("metal", "direct"), [("cu", "cu_uncoated"), ("al", "al")])
@pytest.mark.parametrize("conduit", CONDUITS)
def test_3_effective_resistance_is_not_below_direct_and_falls_with_size(metal: str, direct: str, conduit: str) -> None:
    """Alternating current meets at least the resistance of direct current, and a larger conductor has less."""
    cells = [(row["size_awg_kcmil"], row[f"r_{metal}_{conduit}_ohm_per_kft"]) for row in NINE]
    told = [(size, cell) for size, cell in cells if cell]
    for size, cell in told:
        assert float(cell) + half_unit(cell) >= float(EIGHT[size][f"r_dc_{direct}_75C_ohm_per_kft"]) * (1 - 0.005)
    values = [float(cell) for _, cell in told]
    assert values == sorted(values, reverse=True)


@pytest.mark.parametrize("size", EIGHT)
def test_4_direct_resistance_follows_from_the_metal(size: str) -> None:
    """Resistivity at 75 °C of 100 % and 61 % IACS, 2 % longer strands, over the area."""
    area = float(EIGHT[size]["area_cmil"])
    for column, conductivity, per_kelvin, off in (
        ("r_dc_cu_uncoated_75C_ohm_per_kft", 1.0, 0.00393, 0.006),
        ("r_dc_al_75C_ohm_per_kft", 0.61, 0.00403, 0.006),
    ):
        resistivity = 10.371 / conductivity * (1 + per_kelvin * 55)  # ohm cmil / ft at 20 °C, brought to 75 °C
        assert float(EIGHT[size][column]) == pytest.approx(resistivity * 1.02 * 1000 / area, rel=off)


def test_metric_sizes_follow_from_the_metal() -> None:
    """IEC 60228 from memory: resistivity 17.241 nΩm of copper and 28.264 of aluminum; strands are a little thinner."""
    for row in rows("iec_60228"):
        area = float(row["size_mm2"])
        assert 1.0 <= float(row["r_cu_20C_ohm_per_km"]) * area / 17.241 <= 1.13  # 50 mm² is 47 in truth
        if row["r_al_20C_ohm_per_km"]:
            assert 1.0 <= float(row["r_al_20C_ohm_per_km"]) * area / 28.264 <= 1.14


def test_metric_and_american_sizes_lie_on_one_curve() -> None:
    """95 mm² lies between 3/0 and 4/0 AWG (85 and 107 mm²), in resistance as in area, both at 20 °C."""
    sizes = tables().sizes
    between = [sizes[name].resistance[Material.COPPER, Conduit.PVC].least for name in ("3/0 AWG", "4/0 AWG")]
    at_20 = [each * (1 - 0.00323 * 55) for each in between]

    assert at_20[1] < sizes["95 mm²"].resistance[Material.COPPER, Conduit.PVC].least < at_20[0]


@pytest.mark.parametrize("name", [name for name in FILES if name != "pitfalls"])
def test_every_row_names_its_confidence_and_source(name: str) -> None:
    for row in rows(name):
        told = {value for column, value in row.items() if column.startswith("confidence")}
        assert told <= CONFIDENCES and told != {""}
        assert row["source"]
        assert None not in row and None not in row.values()


def test_the_digest_covers_every_table() -> None:
    assert {path.stem for path in TABLES.glob("*.csv")} == set(FILES)
    assert len(tables().digest) == 64


def test_between_tables_8_and_9_the_safe_one_is_taken() -> None:
    """14 AWG: 3.1 ohm/kft in Table 9, 3.14 in Table 8: the lower for a maximum, the higher for a minimum."""
    band = tables().sizes["14 AWG"].resistance[Material.COPPER, Conduit.STEEL]

    assert (band.least * 304.8, band.most * 304.8) == pytest.approx((3.1, 3.14))
    assert tables().sizes["1/0 AWG"].resistance[Material.COPPER, Conduit.STEEL].most * 304.8 == pytest.approx(0.12)


def test_peak_factors_of_the_iec_are_those_of_its_power_factors() -> None:
    """IEC 61439-1, n: the peak of κ at the power factor of the same row, within the standard's rounding."""
    for row in rows("peak_factors"):
        power_factor = float(row["power_factor"])
        ratio = sin(acos(power_factor)) / power_factor
        assert kappa_peak(ratio) == pytest.approx(float(row["n"]), abs=0.06)
