"""SB4.3.2 and SB4.3.3: credits of branches from the feeder's current-limiting devices (method F1 to F9)."""

from decimal import Decimal

import pytest

from sccr import rate
from sccr.ul508a.tables import tables
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import codes
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import kiloamperes
from tests.drawing import limits
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import rated
from tests.drawing import withstands


def branch(feeder: dict, part_rating: str, device: dict | None = None, **more: object) -> dict:
    branch_device = device or fuse("FU9", feeder["id"], "CC", "15 A")
    return panel(feeder, branch_device, contactor("KM1", branch_device["id"], part_rating), motor("MA1", "KM1"), **more)


#: A fitted class RK1 is read in the RK5 row (F6): its own rows serve only as a specified class.
FITTED = [row for rows in tables().let_through.values() for row in rows if row.fuse_class != "RK1"]


@pytest.mark.parametrize("row", FITTED, ids=lambda row: f"{row.fuse_class}-{row.voltage}-{row.amperes}")
def test_f1_every_row_of_table_sb4_2_credits_at_its_peaks(row: object) -> None:
    """Each class fuse, at its own voltage: a part that equals the peak of a column is credited with that column."""
    volts = row.voltage // 1_000
    device = fuse(
        "FU1", "S", row.fuse_class, f"{row.amperes // 1_000} A", voltage_rating=f"{volts} V",
        interrupting_ratings=interrupts("500 kA", f"{volts} V"),
    )  # fmt: skip
    supply = {"voltage": f"{volts} V", "system": "ungrounded_delta"}
    for column in row.columns:
        peak, level = Decimal(column.peak) / 1_000_000, Decimal(column.available) / 1_000_000
        best = max(c.available for c in row.columns if c.peak <= column.peak) / 1_000_000
        document = branch(
            device,
            f"{peak} kA",
            fuse("FU9", "FU1", "J", "1 A", interrupting_ratings=interrupts("500 kA")),
            supply=supply,
        )
        assert kiloamperes(document) == max(best, float(peak)) >= level


@pytest.mark.parametrize(
    ("fuse_class", "amperes", "part_rating", "expected"),
    [
        ("J", "60 A", "8 kA", 50),
        ("J", "60 A", "7.9 kA", 7.9),
        ("J", "60 A", "9.9 kA", 50),
        ("J", "61 A", "10 kA", 10),  # F6: the 100 A row, 12 kA
        ("J", "31 A", "8 kA", 50),  # F6: the 60 A row
        ("J", "601 A", "100 kA", 100),  # F6: above the last row no credit
        ("G", "30 A", "7 kA", 100),  # only a 100 kA column
        ("CF", "30 A", "6 kA", 50),
        ("H", "30 A", "9 kA", 9),  # F1: not a class of the table, and 10 kA itself
        ("L", "5000 A", "300 kA", 200),
        ("RK1", "30 A", "11 kA", 100),  # the RK5 row: 11, 11, 14
        ("RK1", "30 A", "10 kA", 10),
    ],
)
def test_f4_f6_columns_and_rows(fuse_class: str, amperes: str, part_rating: str, expected: float) -> None:
    assert kiloamperes(branch(fuse("FU1", "S", fuse_class, amperes), part_rating)) == expected


def test_f2_peak_is_compared_with_rms_without_conversion() -> None:
    """A conversion by 2.1 or so would pass 4 kA parts at a peak of 8 kA; the numbers are compared as they are."""
    assert kiloamperes(branch(fuse("FU1", "S", "J", "60 A"), "4 kA")) == 4


def test_f3_some_interrupting_rating_is_lower() -> None:
    device = part("combination_motor_controller", "QA9", "FU9", short_circuit_ratings=withstands("30 kA"))
    document = panel(fuse("FU1", "S", "J", "60 A"), fuse("FU9", "FU1", "CC", "15 A"), device, motor("MA1", "QA9"))

    assert kiloamperes(document) == 30
    assert limits(document) == ["QA9"]


def test_f3_a_part_that_fails_leaves_its_branch_uncredited_and_no_other() -> None:
    document = panel(
        fuse("FU1", "S", "J", "60 A"),
        fuse("FU2", "FU1", "CC", "15 A"),
        contactor("KM2", "FU2", "10 kA"),
        part("overload_relay", "FR2", "KM2"),
        fuse("FU3", "FU1", "CC", "15 A"),
        contactor("KM3", "FU3", "10 kA"),
    )
    circuits = {circuit.id: circuit.rating for circuit in rate(document).circuits if circuit.type == "branch"}

    assert circuits == {"FU2": 5_000_000, "FU3": 100_000_000}
    assert "no credit" in rated(document).limited_by[0].reason


def test_f5_a_branch_fuse_does_not_lift_its_own_branch() -> None:
    document = panel(fuse("FU1", "S", "J", "30 A"), contactor("KM1", "FU1", "16 kA"), motor("MA1", "KM1"))

    assert kiloamperes(document) == 16


def test_f7_feeder_components_get_no_credit_unless_the_option_is_on() -> None:
    def with_block(**more: object) -> dict:
        return panel(
            fuse("FU1", "S", "J", "100 A"),
            part("power_distribution_block", "XD1", "FU1", short_circuit_ratings=withstands("14 kA")),
            fuse("FU2", "XD1", "CC", "15 A"),
            contactor("KM2", "FU2", "200 kA"),
            **more,
        )

    assert kiloamperes(with_block()) == 14
    credited = with_block(options={"credit_feeder_components": True})
    assert kiloamperes(credited) == 100
    assert "feeder-components-credited" in codes(credited, "warning")
    assert any("credit_feeder_components is on" in step.statement for step in rate(credited).derivation)


def test_f8_a_fuse_outside_the_panel_credits_only_as_upstream_protection_and_as_a_condition() -> None:
    parts = [breaker("FC1", "S", "65 kA"), contactor("KM1", "FC1", "10 kA"), motor("MA1", "KM1")]
    upstream = {"device": "fuse", "fuse_class": "J", "ampere_rating": "60 A"}
    supply = {"id": "S", "voltage": "480Y/277 V", "system": "solidly_grounded_wye"}

    assert kiloamperes(panel(*parts)) == 10
    document = panel(*parts, supplies=[{**supply, "upstream_protection": upstream}])
    assert kiloamperes(document) == 65
    texts = [c.text for c in rated(document).conditions if c.code == "upstream-protection"]
    assert texts == ["supply S to be protected by class J fuse, 60 A maximum"]


def test_f8_a_field_fuse_among_the_components_credits_nothing() -> None:
    document = branch(fuse("FU1", "S", "J", "60 A", location="field"), "10 kA", breaker("FC1", "FU1", "65 kA"))

    assert kiloamperes(document) == 10


def test_f9_devices_in_line_are_each_tried_and_never_compounded() -> None:
    document = panel(
        fuse("FU1", "S", "L", "800 A"),
        fuse("FU2", "FU1", "J", "100 A"),
        fuse("FU3", "FU2", "CC", "15 A"),
        contactor("KM1", "FU3", "14 kA"),
    )

    assert kiloamperes(document) == 100  # by FU2 alone; FU1 lets 80 kA through


def test_settled_2_a_credit_never_lowers_and_stops_at_the_fuse() -> None:
    weak_fuse = fuse("FU1", "S", "J", "60 A", interrupting_ratings=interrupts("100 kA"))

    assert kiloamperes(branch(weak_fuse, "16 kA")) == 100
    assert limits(branch(weak_fuse, "16 kA")) == ["FU1"]
    assert {c.id: c.after for c in rate(branch(weak_fuse, "150 kA")).components}["KM1"] == 150_000_000


def test_settled_2_a_tested_combination_is_compared_but_not_lifted() -> None:
    tested = [behind_fuse("30 kA", ["CC"], "30 A")]
    both = [*withstands("10 kA"), *tested]

    def with_ratings(ratings: list) -> dict:
        return panel(
            fuse("FU1", "S", "J", "60 A"),
            fuse("FU2", "FU1", "CC", "15 A"),
            contactor("KM1", "FU2", short_circuit_ratings=ratings),
            contactor("KM2", "KM1", "16 kA"),
        )

    assert kiloamperes(with_ratings(tested)) == 30
    assert limits(with_ratings(tested)) == ["KM1"]
    assert kiloamperes(with_ratings(both)) == 100  # its unconditional 10 kA passes the 100 kA column by itself


def test_settled_10_a_device_that_feeds_a_load_and_further_devices_credits_not_its_own_load() -> None:
    document = panel(
        fuse("FU1", "S", "J", "60 A"),
        contactor("KM1", "FU1", "16 kA"),
        motor("MA1", "KM1"),
        fuse("FU2", "FU1", "CC", "15 A"),
        contactor("KM2", "FU2", "16 kA"),
        motor("MA2", "KM2"),
    )
    after = {c.id: c.after for c in rate(document).components}

    assert (after["KM1"], after["KM2"]) == (16_000_000, 200_000_000)
    assert limits(document) == ["KM1"]


def test_settled_11_a_credit_must_hold_on_every_path() -> None:
    def fed_from(*names: str) -> dict:
        return panel(
            fuse("FU1", "S", "J", "60 A"),
            fuse("FU2", "S", "RK5", "60 A"),
            fuse("FU3", list(names), "CC", "15 A"),
            contactor("KM1", "FU3", "16 kA"),
        )

    assert kiloamperes(fed_from("FU1")) == 200
    assert kiloamperes(fed_from("FU1", "FU2")) == kiloamperes(fed_from("FU2", "FU1")) == 16


def test_a_holder_belongs_to_the_branch_of_the_fuse_that_it_carries() -> None:
    """A holder of 10 kA ahead of the branch fuse is credited with its branch; one of a feeder fuse is not."""
    document = panel(
        fuse("FU1", "S", "J", "60 A"),
        part("fuseholder", "XF2", "FU1", fuse_class="CC"),
        fuse("FU2", "XF2", "CC", "15 A"),
        contactor("KM1", "FU2", "10 kA"),
    )
    feeder_holder = panel(
        part("fuseholder", "XF1", "S", fuse_class="J"), {**fuse("FU1", "XF1", "J", "60 A")}, *document["components"][1:]
    )

    assert kiloamperes(document) == 100
    assert kiloamperes(feeder_holder) == 10
    assert limits(feeder_holder) == ["XF1"]


POINTS = [
    {"available": "25 kA", "peak": "14 kA", "voltage": "480 V"},
    {"available": "65 kA", "peak": "21 kA", "voltage": "480 V"},
]


def limiting(current: str = "100 kA", **more: object) -> dict:
    fields = {"current_limiting": True, "let_through": POINTS, **more}
    return breaker("QA1", "S", current, **fields)


@pytest.mark.parametrize(
    ("part_rating", "interrupting", "expected"),
    [
        ("21 kA", "100 kA", 65),
        ("20 kA", "100 kA", 25),
        ("14 kA", "100 kA", 25),
        ("13 kA", "100 kA", 13),
        ("21 kA", "50 kA", 50),  # claimed at the breaker's own rating, by the next higher point
    ],
)
def test_sb4_3_2_breakers_by_published_points(part_rating: str, interrupting: str, expected: int) -> None:
    device = fuse("FU9", "QA1", "J", "30 A")

    assert kiloamperes(branch(limiting(interrupting), part_rating, device)) == expected


def test_sb4_3_2_only_breakers_marked_current_limiting() -> None:
    document = branch(limiting(current_limiting=False), "21 kA", fuse("FU9", "QA1", "J", "30 A"))

    assert kiloamperes(document) == 21


def test_sb4_3_2_a_curve_below_the_voltage_is_no_curve() -> None:
    points = [{**point, "voltage": "240 V"} for point in POINTS]

    assert kiloamperes(branch(limiting(let_through=points), "21 kA", fuse("FU9", "QA1", "J", "30 A"))) == 21


def test_sb4_3_2_a_branch_breaker_is_never_raised() -> None:
    assert kiloamperes(branch(limiting(), "21 kA", breaker("FC9", "QA1", "18 kA"))) == 18


def test_no_credit_above_the_voltage_of_a_row() -> None:
    """Class G above 20 A is a 480 V class: in a 600 V circuit its row does not serve."""
    supply = {"voltage": "600Y/347 V", "system": "solidly_grounded_wye"}
    marked = fuse("FU1", "S", "G", "30 A", interrupting_ratings=interrupts("100 kA", "600 V"))

    assert kiloamperes(branch(marked, "10 kA", supply=supply)) == 10
    assert kiloamperes(branch(fuse("FU1", "S", "G", "30 A"), "10 kA")) == 100


def test_table_sb4_2_is_of_alternating_current_and_credits_nothing_in_a_dc_circuit() -> None:
    direct = {"supply": "dc"}
    document = panel(
        fuse("FU1", "S", "J", "60 A", interrupting_ratings=interrupts("50 kA", "125 V", **direct)),
        breaker("FC1", "FU1", interrupting_ratings=interrupts("18 kA", "125 V", **direct)),
        contactor("KM1", "FC1", short_circuit_ratings=withstands("10 kA", "125 V", **direct)),
        motor("MA1", "KM1"),
        supply={"voltage": "125 V", "system": "dc"},
    )

    assert kiloamperes(document) == 10


def test_class_t_of_unknown_voltage_takes_the_higher_let_through() -> None:
    supply = {"voltage": "240 V", "system": "ungrounded_delta"}
    unknown, low = fuse("FU1", "S", "T", "60 A"), fuse("FU1", "S", "T", "60 A", voltage_rating="300 V")

    assert kiloamperes(branch(low, "7 kA", supply=supply)) == 50
    assert kiloamperes(branch(unknown, "7 kA", supply=supply)) == 7
    assert kiloamperes(branch(unknown, "8 kA", supply=supply)) == 50


def test_a_part_with_a_path_around_its_branch_device_is_not_credited() -> None:
    ways = panel(fuse("FU1"), breaker("FC1", "FU1"), contactor("KM1", ["FC1", "S"], "8 kA"), motor("MA1", "KM1"))
    rating = rate(ways)

    assert rating.status == "withheld"
    assert [each.after for each in rating.components if each.id == "KM1"] == [8_000_000]


def test_f7_an_unmarked_feeder_component_is_credited_from_its_assumed_value() -> None:
    """Class J, 30 A lets no more than 10 kA through at 100 kA (Table SB4.2); Table SB4.1: a block is worth 10 kA."""
    document = panel(
        fuse("FU1", "S", "J", "30 A"),
        part("power_distribution_block", "XD1", "FU1"),
        breaker("FC1", "XD1", "65 kA"),
        contactor("KM1", "FC1", "65 kA"),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 10
    assert kiloamperes({**document, "options": {"credit_feeder_components": True}}) == 65


def test_a_combination_in_two_branches_is_credited_as_its_unconditional_marking_passes() -> None:
    """Class J, 30 A lets 7.5 kA through at 100 kA and 12 kA at 200 kA (Table SB4.2): 8 kA passes the one alone."""
    rating = [*withstands("8 kA"), behind_fuse("14 kA", ["CC"], "30 A")]
    document = panel(
        fuse("FU0", "S", "J", "30 A"),
        fuse("FU1", "FU0", "CC", "15 A"),
        fuse("FU2", "FU0", "CC", "15 A"),
        contactor("KM1", ["FU1", "FU2"], short_circuit_ratings=rating),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 100


@pytest.mark.parametrize("kind", ["motor", "heater", "lighting", "load"])
def test_a_load_in_the_panel_is_held_to_withstand_and_credited(kind: str) -> None:
    """Class J, 60 A lets 8 kA through at 50 kA (Table SB4.2)."""
    load = part(kind, "X1", "FC1", location="panel", short_circuit_ratings=withstands("8 kA"))

    assert kiloamperes(panel(fuse("FU1", "S", "J", "60 A"), breaker("FC1", "FU1", "65 kA"), load)) == 50
