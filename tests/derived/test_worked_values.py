"""The worked values of the method's section 11: derived by hand from its rules, not published. All at 480 V."""

import pytest

from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import kiloamperes
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.drawing import withstands


def behind_feeder_fuse(current: str, branch: dict, fuse_class: str = "J", amperes: str = "60 A") -> dict:
    return panel(
        fuse("FU1", "S", fuse_class, amperes), branch, contactor("KM1", branch["id"], current), motor("MA1", "KM1")
    )


CC = fuse("FU2", "FU1", "CC", "15 A")


@pytest.mark.parametrize(
    ("contactor_rating", "expected"),
    [
        ("16 kA", 200),  # D1: Ip 16 kA in the 200 kA column, equality passes
        ("10 kA", 100),  # D2: Ip 10 kA in the 100 kA column
        ("5 kA", 5),  # D4: below 8 kA in the 50 kA column
    ],
)
def test_class_j_60_a_feeder_fuse_credits_column_by_column(contactor_rating: str, expected: int) -> None:
    assert kiloamperes(behind_feeder_fuse(contactor_rating, CC)) == expected


def test_d5_a_branch_breaker_is_never_raised() -> None:
    branch = breaker("FC1", "FU1", "14 kA")

    assert kiloamperes(behind_feeder_fuse("16 kA", branch)) == 14


def test_d7_class_rk1_is_read_in_the_rk5_row() -> None:
    assert kiloamperes(behind_feeder_fuse("22 kA", CC, "RK1", "100 A")) == 50


def test_d8_class_rk5_30_a_credits_nothing_to_10_ka() -> None:
    assert kiloamperes(behind_feeder_fuse("10 kA", CC, "RK5", "30 A")) == 10


def test_d12_transformer_up_to_10_kva_with_secondary_parts_of_5_ka() -> None:
    document = panel(
        fuse("FU1", "S", "J", "30 A"),
        transformer("TA1", "FU1", "10 kVA", "240 V"),
        breaker("FC1", "TA1", "5 kA"),
        contactor("KM1", "FC1", "5 kA"),
        motor("MA1", "KM1", phases=1),
    )

    assert kiloamperes(document) == 200


def test_d14_transformer_of_5_kva_to_120_v_with_secondary_parts_of_2_ka() -> None:
    document = panel(
        breaker("FC1", "S", "14 kA"),
        transformer("TA1", "FC1", "5 kVA", "120 V"),
        breaker("FC2", "TA1", "2 kA"),
        part("receptacle", "XS1", "FC2", short_circuit_ratings=withstands("2 kA")),
    )

    assert kiloamperes(document) == 14


@pytest.mark.parametrize(("horsepower", "expected"), [("5 hp", 5), ("75 hp", 10), ("250 hp", 18)])
def test_d18_unmarked_starters_take_the_value_of_their_band(horsepower: str, expected: int) -> None:
    document = panel(
        breaker("FC1", "S", "65 kA"), part("motor_starter", "KM1", "FC1", horsepower=horsepower), motor("MA1", "KM1")
    )

    assert kiloamperes(document) == expected


@pytest.mark.parametrize(("fitted", "expected"), [("CC", 100), ("RK5", 5)])
def test_d20_a_combination_with_j_30_a_holds_behind_cc_and_falls_back_behind_rk5(fitted: str, expected: int) -> None:
    document = panel(
        fuse("FU1", "S", fitted, "30 A"),
        contactor("KM1", "FU1", short_circuit_ratings=[behind_fuse("100 kA", ["J"], "30 A")]),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == expected


def test_equal_currents_in_other_units_are_equal() -> None:
    """16 kA and 16000 A: the equality of D1 holds however the current is written."""
    assert kiloamperes(behind_feeder_fuse("16000 A", CC)) == kiloamperes(behind_feeder_fuse("16 kA", CC)) == 200


def test_the_credit_stops_at_the_interrupting_rating_of_the_fuse() -> None:
    document = behind_feeder_fuse("16 kA", CC)
    document["components"][0]["interrupting_ratings"] = interrupts("100 kA")

    assert kiloamperes(document) == 100
