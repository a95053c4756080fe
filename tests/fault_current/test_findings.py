"""Each mistake that can be told is told: a document that makes it, and the same without it."""

import csv
from pathlib import Path

import pytest

from sccr.fault_current import supply_finding
from sccr.fault_current import tables as module
from sccr.fault_current.tables import tables
from sccr.panel.voltage import Voltage
from tests.fault_current.drawing import Document
from tests.fault_current.drawing import calculated
from tests.fault_current.drawing import codes
from tests.fault_current.drawing import conductor
from tests.fault_current.drawing import impedance
from tests.fault_current.drawing import motors
from tests.fault_current.drawing import site
from tests.fault_current.drawing import transformer
from tests.fault_current.drawing import utility

SOURCE = utility("500 MVA", x_over_r=10, minimum_available="300 MVA")
FEEDER = conductor("4/0 AWG", "20 ft", sets=2, neutral_size="4/0 AWG", ground_size="4 AWG")
FLAT = impedance("50 ft", "0.3", "0.1")
SMALL = transformer(kva="75 kVA", primary="480 V", secondary="208Y/120 V", impedance="4.5 %", x_over_r=2)

PLAIN = site(
    SOURCE,
    transformer(),
    motors(full_load_current="100 A"),
    FEEDER,
    alternates=[{"name": "tie closed", "utility": SOURCE, "elements": [transformer(), FEEDER]}],
)
#: What is to be said of the plain one: the second state names no motors, and the way it ends has X/R above 1.73.
ALWAYS = {"motors-not-stated", "x-over-r-above-test"}


def lone(*elements: Document, source: Document = SOURCE, **more: object) -> Document:
    return site(source, *elements, **more)


CASES: dict[str, Document] = {
    "one-state-only": lone(transformer(), FEEDER),
    "cross-check-differs": lone(transformer(), source=utility("500 MVA", cross_check="36.2 kA")),
    "stated-current-differs": lone(transformer(), {**FEEDER, "stated": "30 kA"}),
    "stated-current-skips-element": lone(
        transformer(), impedance("60 m", "0.1", "0.1"), {**impedance("10 m", "0.1", "0.1"), "stated": "18.9 kA"}
    ),
    "stated-current-is-peak": lone({**transformer(), "stated": "45.7 kA"}),
    "stated-current-rises": lone(
        transformer(), {**impedance("9 m", "0.1", "0.1"), "stated": "17 kA"}, {**FLAT, "stated": "19 kA"}
    ),
    "stated-current-of-other-method": lone({**transformer(), "stated": "21.94 kA"}),
    "stated-current-rounded-down": lone({**transformer(), "stated": "20.2 kA"}),
    "utility-figure-of-secondary": lone(transformer(), source=utility("20 kA", x_over_r=10)),
    "impedance-tolerance-twice": lone(transformer(impedance="5.18 %", impedance_tolerance="10 %")),
    "conductor-impedance-unusual": lone(transformer(), impedance("20 m", "0.09", "0.3")),
    "nominal-voltage-not-stated": lone(transformer(secondary="410Y/237 V")),
    "infinite-bus": lone(transformer(), source=utility()),
    "utility-implausible": lone(transformer(), source=utility("500 kVA")),
    "utility-voltage-differs": lone(transformer(primary="12 kV")),
    "stated-above-infinite-bus": lone({**transformer(), "stated": "25 kA"}),
    "current-implausible": lone(transformer(kva="20 MVA"), source=utility()),
    "no-impedance": lone(source=utility()),
    "impedance-tolerance-assumed": lone(transformer(impedance_tolerance=None)),
    "impedance-tolerance-unusual": lone(transformer(impedance_tolerance="20 %")),
    "impedance-unusual": lone(transformer(impedance="0.0575 %")),
    "kva-may-be-fan-rating": lone(transformer(kva="1333 kVA")),
    "scalar-differs": lone(transformer(), conductor("6 AWG", "100 ft")),
    "hot-conductor-for-maximum": lone(transformer(), conductor("6 AWG", "100 ft", temperature="75 °C")),
    "run-unusually-long": lone(transformer(), conductor("500 kcmil", "600 m")),
    "parallel-sets-too-small": lone(transformer(), conductor("2 AWG", "50 ft", sets=2)),
    "conduit-assumed": lone(transformer(), {"conductor": {"size": "2 AWG", "material": "copper", "length": "5 ft"}}),
    "three-phase-not-worst": lone(transformer()),
    "not-a-balanced-wye": lone(transformer(secondary="240/120 V", secondary_system="high_leg_delta")),
    "x-over-r-above-test": lone(transformer()),
    "motors-at-terminals": lone(transformer(), motors(full_load_current="10 A")),
    "motors-drive-fed": lone(transformer(), motors(drive_fed=True)),
    "motors-not-stated": lone(transformer()),
    "horsepower-assumed": lone(transformer(), motors(horsepower="50 hp")),
    "tolerance-beside-k-t": lone(transformer(impedance_tolerance="10 %"), method="iec_60909"),
    "voltage-tolerance-assumed": lone(transformer(), method="iec_60909"),
    "temperature-not-used": lone(transformer(), conductor("2 AWG", "5 ft", temperature="25 °C"), method="iec_60909"),
    "rated-voltage-differs": lone(transformer(secondary="500 V", nominal_voltage="480 V")),
    "minimum-of-utility-not-stated": lone(transformer(), source=utility("500 MVA", x_over_r=10)),
    "table-value-uncertain": lone(transformer(), conductor("500 kcmil", "50 ft")),
    "x-over-r-assumed": lone(transformer(x_over_r=None)),
    "way-back-assumed": lone(transformer(), conductor("2 AWG", "50 ft")),
    "ground-fault-not-known": lone(transformer(primary_connection="grounded_wye")),
}


def test_a_plain_site_is_told_what_every_site_is() -> None:
    assert codes(calculated(PLAIN)) == ALWAYS


@pytest.mark.parametrize("code", CASES)
def test_the_mistake_is_told(code: str) -> None:
    told = [each for each in calculated(CASES[code]).findings if each.code == code]

    assert told
    assert all(each.severity == tables().severities[code] and each.message for each in told)
    if code not in ALWAYS:
        assert code not in codes(calculated(PLAIN))


def test_every_code_of_the_table_has_its_case() -> None:
    assert set(CASES) | {"supply-voltage-differs"} == set(tables().severities)


def test_every_pitfall_of_the_table_is_caught_or_said_not_to_be() -> None:
    rows = list(csv.DictReader((Path(module.__file__).parent / "tables/pitfalls.csv").read_text("utf-8").splitlines()))
    numbers = {int(row["number"]) for row in rows if row["number"]}

    assert numbers == set(range(1, 27))
    for row in rows:
        assert row["caught_by"] in {"finding", "refused", "construction", "not"}
        assert bool(row["codes"]) == bool(row["severity"]) == (row["caught_by"] == "finding")
        assert row["codes"] or row["remark"]


def test_an_error_withholds_the_available_current_and_nothing_else_does() -> None:
    for code, document in CASES.items():
        result = calculated(document)
        wrong = any(each.severity == "error" for each in result.findings)
        assert (result.available is None) == wrong, code


def test_weak_cells_of_the_table_are_those_of_one_copy() -> None:
    """400 kcmil and up, and 350 kcmil outside PVC."""
    weak = {name for name, size in tables().sizes.items() if size.weak and size.basis == "nec"}

    assert {f"{size} kcmil" for size in (350, 400, 500, 600, 750, 1000)} == weak


def test_a_utility_of_the_same_size_in_both_units_is_no_finding() -> None:
    both = utility("500 MVA", cross_check="20.918 kA")

    assert "cross-check-differs" not in codes(calculated(lone(transformer(), source=both)))
    told = next(
        each for each in calculated(CASES["cross-check-differs"]).findings if each.code == "cross-check-differs"
    )
    assert "√3" in told.message


def test_x_over_r_is_held_against_ratings_that_can_stand_there_only() -> None:
    """20 kA available: no breaker of 20 kA and below. 9 kA: those as well."""
    high, low = (
        next(each.message for each in calculated(document).findings if each.code == "x-over-r-above-test")
        for document in (lone(transformer(x_over_r=9)), lone(source=utility("9 kA", "480Y/277 V", x_over_r=9)))
    )

    assert "above 20 kA" in high and "up to" not in high
    assert "up to 10 kA: × 1.47" in low and "up to 20 kA" in low and "above 20 kA" in low


def test_a_preferred_size_is_no_fan_rating() -> None:
    for size in ("1250 kVA", "1000 kVA", "1500 kVA", "112.5 kVA", "630 kVA", "980 kVA"):
        assert "kva-may-be-fan-rating" not in codes(calculated(lone(transformer(kva=size))))


def test_stated_figures_that_agree_are_no_finding() -> None:
    result = calculated(lone({**transformer(), "stated": "20.217 kA"}))

    assert not {code for code in codes(result) if code.startswith("stated")}


@pytest.mark.parametrize(
    ("code", "document"),
    {
        "stated-current-is-peak": lone({**transformer(), "stated": "31 kA"}),
        "stated-current-rises": lone(
            transformer(),
            {**impedance("9 m", "0.1", "0.1"), "stated": "17 kA"},
            motors(full_load_current="500 A"),
            {**FLAT, "stated": "19 kA"},
        ),
        "stated-current-rounded-down": lone({**transformer(), "stated": "20.3 kA"}),
        "utility-figure-of-secondary": lone(transformer(), source=utility("20 kA", cross_check="478 MVA")),
        "impedance-tolerance-twice": lone(transformer(impedance="5.18 %", impedance_tolerance="0 %")),
        "conductor-impedance-unusual": lone(transformer(), impedance("20 m", "3", "0.1")),
        "nominal-voltage-not-stated": lone(transformer(secondary="410Y/237 V", nominal_voltage="400 V")),
    }.items(),
)
def test_what_only_looks_like_the_mistake_is_not_told(code: str, document: Document) -> None:
    assert code not in codes(calculated(document))


def test_a_rise_is_told_of_runs_only_not_across_a_transformer() -> None:
    document = lone(transformer(), {**FLAT, "stated": "10 kA"}, {**SMALL, "stated": "11 kA"})

    assert "stated-current-rises" not in codes(calculated(document))


def test_a_warm_stated_impedance_is_told_as_well() -> None:
    run = impedance("5 m", "0.1", "0.1")
    run["conductor"]["temperature"] = "75 °C"

    assert "hot-conductor-for-maximum" in codes(calculated(lone(transformer(), run)))


def test_the_supply_of_a_panel_must_be_what_the_chain_ends_in() -> None:
    result = calculated(lone(transformer()))

    assert supply_finding(result, Voltage(480_000), 3) is None
    assert supply_finding(result, Voltage(460_000), 3) is None
    for voltage, phases in ((208_000, 3), (480_000, 1)):
        told = supply_finding(result, Voltage(voltage), phases)
        assert told is not None and told.code == "supply-voltage-differs" and told.severity == "error"
