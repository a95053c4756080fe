"""Published cases (method, section 10). Each test names its source; the expected value is the source's own."""

from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import errors
from tests.drawing import fuse
from tests.drawing import kiloamperes
from tests.drawing import limits
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import rated
from tests.drawing import transformer
from tests.drawing import withstands


def test_p1_the_lowest_part_is_the_panels_rating() -> None:
    """Trade reference article on calculating a panel's rating (2026), base case: 10 kA."""
    assert kiloamperes(p1_panel("10 kA")) == 10
    assert limits(p1_panel("10 kA")) == ["XT1", "FC2"]


def test_p1_sequel_in_print_does_not_follow_from_sb4_3_3() -> None:
    """The same article's sequel prints 65 kA after the breaker is changed; the 10 kA terminals stay at 10 kA.

    They stand below the 12 kA that a class J fuse of 100 A lets through at 50 kA (Table SB4.2): no credit.
    """
    changed = p1_panel("65 kA")

    assert kiloamperes(changed) == 10
    assert limits(changed) == ["XT1"]


def p1_panel(control_breaker: str) -> dict:
    series = {
        "line_side": {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "100 A"},
        "voltage": "480 V",
        "current": "65 kA",
        "reference": "listed series rating",
    }
    return panel(
        fuse("FU1", "S", "J", "100 A"),
        part(
            "power_distribution_block",
            "XD1",
            "FU1",
            short_circuit_ratings=[*withstands("10 kA"), behind_fuse("100 kA", ["J"], "200 A")],
        ),
        breaker("FC1", "XD1", "14 kA", ampere_rating="30 A", series_ratings=[series]),
        contactor("KM1", "FC1", "65 kA"),
        motor("MA1", "KM1", full_load_current="21 A"),
        fuse("FU2", "XD1", "J", "60 A"),
        part("drive", "TA2", "FU2", short_circuit_ratings=[behind_fuse("100 kA", ["J"], "60 A")]),
        part("terminal_block", "XT1", "TA2", short_circuit_ratings=withstands("10 kA")),
        motor("MA2", "XT1", full_load_current="40 A"),
        breaker("FC2", "XD1", control_breaker, ampere_rating="5 A", poles=2),
        transformer("TA1", "FC2", "0.5 kVA", "120 V"),
        part("load", "PL1", "TA1", circuit="control"),
    )


def test_p2_a_branch_breaker_holds_the_panel_behind_a_class_j_fuse() -> None:
    """A UL 508A workshop example as reported in a trade forum: 35 kA.

    50 kA available, feeder class J with Ip 8 kA (60 A, 50 kA column), branch breaker 35 kA, other parts at least 8 kA.
    """
    document = panel(
        fuse("FU1", "S", "J", "60 A"),
        breaker("FC1", "FU1", "35 kA"),
        contactor("KM1", "FC1", "8 kA"),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 35
    assert limits(document) == ["FC1"]


def test_p3_a_feeder_fuse_does_not_excuse_a_branch_breaker() -> None:
    """Trade knowledge-base article on branch breakers: feeder fuse 65 kA, branch breaker 10 kA: 10 kA."""
    document = panel(
        fuse("FU1", "S", "J", "100 A", interrupting_ratings=[{"current": "65 kA", "voltage": "600 V"}]),
        breaker("FC1", "FU1", "10 kA"),
        contactor("KM1", "FC1", "65 kA"),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 10


def test_p7_the_main_breaker_alone_never_sets_the_rating() -> None:
    """Trade reference page on SCCR: 65 kA main breaker, all other parts 5 kA: 5 kA."""
    document = panel(
        breaker("QA1", "S", "65 kA"),
        breaker("FC1", "QA1", "5 kA"),
        contactor("KM1", "FC1", "5 kA"),
        part("overload_relay", "FR1", "KM1", short_circuit_ratings=withstands("5 kA")),
        motor("MA1", "FR1"),
    )

    assert kiloamperes(document) == 5
    assert limits(document) == ["FC1", "KM1", "FR1"]


def test_p7_a_contactor_tested_with_class_j_falls_back_behind_another_device() -> None:
    """The same page: a contactor 65 kA with class J falls back to 5 kA behind RK5 or a breaker."""
    tested = {"short_circuit_ratings": [behind_fuse("65 kA", ["J"], "30 A")]}
    devices = [
        (fuse("FU1", "S", "J", "30 A"), 65),
        (fuse("FU1", "S", "RK5", "30 A"), 5),
        (breaker("FU1", "S", "65 kA", ampere_rating="30 A"), 5),
    ]
    for device, expected in devices:
        document = panel(device, contactor("KM1", "FU1", **tested), motor("MA1", "KM1"))
        assert kiloamperes(document) == expected


def test_p8_a_peak_above_the_parts_gives_no_credit() -> None:
    """Code forum thread on class J 25 A: peak against 5 kA parts, no credit.

    The thread reads 5.5 kA off a maker's curve; Table SB4.2 has 6 kA for the 30 A row: both are above 5 kA.
    """
    document = panel(
        fuse("FU1", "S", "J", "25 A"),
        fuse("FU2", "FU1", "CC", "15 A"),
        contactor("KM1", "FU2", "5 kA"),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 5
    assert "no credit" in rated(document).limited_by[0].reason


def test_a_three_way_result_for_feeder_fuses() -> None:
    """Reference manual A5E31896849002A, 06/2013, page 20: the three results of a class fuse in the feeder."""

    def with_parts(part_rating: str, device: dict) -> dict:
        return panel(
            fuse("FU1", "S", "J", "60 A"), device, contactor("KM1", device["id"], part_rating), motor("MA1", "KM1")
        )

    all_pass = with_parts("16 kA", fuse("FU2", "FU1", "CC", "15 A"))
    low_interrupting = with_parts("16 kA", breaker("FC1", "FU1", "22 kA"))
    part_fails = with_parts("5 kA", fuse("FU2", "FU1", "CC", "15 A"))

    assert (kiloamperes(all_pass), kiloamperes(low_interrupting), kiloamperes(part_fails)) == (200, 22, 5)


def test_controller_bands_carry_their_standard_fault_currents() -> None:
    """UL 508 / UL 60947-4-1 test currents of motor controllers: 5 kA up to 50 hp, 10 kA over 50 to 200 hp."""
    for horsepower, expected in (("50 hp", 5), ("50.1 hp", 10), ("200 hp", 10)):
        starter = part("motor_starter", "KM1", "FC1", horsepower=horsepower)
        assert kiloamperes(panel(breaker("FC1"), starter, motor("MA1", "KM1"))) == expected


def test_a_slash_rated_breaker_is_not_for_a_delta() -> None:
    """IAEI News, March 2012, "How to determine SCCR", and NEC 240.85: 480Y/277 is for solidly grounded wye only."""
    document = panel(
        breaker("FC1", "S", "65 kA", "480Y/277 V"),
        contactor("KM1", "FC1", "65 kA"),
        supply={"voltage": "480 V", "system": "ungrounded_delta"},
    )

    assert errors(document) == {"slash-rating-on-system"}
