"""SB4.2: what a device interrupts at its voltage, by marking, class or table (method R6 to R8)."""

import pytest

from tests.drawing import DELTA
from tests.drawing import DIRECT
from tests.drawing import THREE_WIRE
from tests.drawing import TWO_WIRE
from tests.drawing import breaker
from tests.drawing import codes
from tests.drawing import contactor
from tests.drawing import errors
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import kiloamperes
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import rated
from tests.drawing import withstands


def alone(device: dict, **more: object) -> dict:
    return panel(device, **more)


@pytest.mark.parametrize(
    ("fuse_class", "expected"),
    [
        ("CC", 200), ("CF", 200), ("G", 100), ("H", 10), ("J", 200), ("K1", 50), ("K5", 50), ("L", 200),
        ("RK1", 200), ("RK5", 200), ("T", 200), ("midget", 10), ("renewable", 10),
    ],
)  # fmt: skip
def test_r8_unmarked_fuses_by_class(fuse_class: str, expected: int) -> None:
    """UL 248-4 to -15, the interrupting ratings of the classes (from memory)."""
    assert kiloamperes(alone(fuse("FU1", "S", fuse_class, "15 A"))) == expected


def test_r8_a_marked_fuse_is_worth_its_marking() -> None:
    for fuse_class, marked, expected in [("K5", "200 kA", 200), ("midget", "100 kA", 100), ("J", "300 kA", 300)]:
        assert (
            kiloamperes(alone(fuse("FU1", "S", fuse_class, "15 A", interrupting_ratings=interrupts(marked))))
            == expected
        )


def test_r8_an_unmarked_breaker_is_assumed_at_5_ka() -> None:
    assert kiloamperes(alone(breaker("FC1", "S", None))) == 5


def test_r8_a_miniature_fuse_is_assumed_in_circuits_of_125_v_only() -> None:
    assert kiloamperes(alone(fuse("FU1", "S", "miniature", "5 A"), supply=TWO_WIRE)) == 10
    tap = fuse("FU1", "S", "miniature", "5 A", circuit="control")
    assert errors(alone(tap, supply={"voltage": "240 V", "system": "single_phase_two_wire"})) == {
        "voltage-above-rating"
    }


def test_a_fuse_of_unknown_class_and_marking_withholds() -> None:
    assert errors(alone(part("fuse", "FU1", "S", ampere_rating="30 A"))) == {"no-rating"}


def test_no_default_above_600_v() -> None:
    supply = {"voltage": "690 V", "system": "solidly_grounded_wye"}

    assert errors(alone(fuse("FU1", "S", "J", "30 A"), supply=supply)) == {"voltage-above-rating"}


def test_nothing_is_assumed_for_dc() -> None:
    assert errors(alone(fuse("FU1", "S", "J", "30 A"), supply=DIRECT)) == {"no-dc-rating"}
    assert errors(alone(breaker("FC1", "S", None), supply=DIRECT)) == {"no-dc-rating"}


def test_r6_the_rating_is_the_one_at_that_voltage() -> None:
    ratings = [*interrupts("65 kA", "240 V"), *interrupts("35 kA", "480 V"), *interrupts("14 kA", "600 V")]
    device = part("circuit_breaker", "FC1", "S", interrupting_ratings=ratings)

    assert kiloamperes(alone(device)) == 35
    assert kiloamperes(alone(device, supply={"voltage": "600Y/347 V", "system": "solidly_grounded_wye"})) == 14
    assert kiloamperes(alone(device, supply={"voltage": "240 V", "system": "ungrounded_delta"})) == 65


@pytest.mark.parametrize(
    ("supply", "holds"),
    [
        ({"voltage": "480Y/277 V", "system": "solidly_grounded_wye"}, True),
        ({"voltage": "480 V", "system": "solidly_grounded_wye"}, True),
        ({"voltage": "208Y/120 V", "system": "solidly_grounded_wye"}, True),
        ({"voltage": "600Y/347 V", "system": "solidly_grounded_wye"}, False),
        ({"voltage": "480 V", "system": "impedance_grounded_wye"}, False),
        ({"voltage": "480 V", "system": "corner_grounded_delta"}, False),
        ({"voltage": "240/120 V", "system": "high_leg_delta"}, False),
        (DELTA, False),
        (THREE_WIRE, False),
    ],
)
def test_r6_480y277_serves_only_a_solidly_grounded_wye_within_both_voltages(supply: dict, holds: bool) -> None:
    document = alone(breaker("FC1", "S", "14 kA", "480Y/277 V"), supply=supply)

    assert (not errors(document)) == holds


def test_r6_240_120_serves_only_single_phase_three_wire() -> None:
    device = breaker("FC1", "S", "10 kA", "240/120 V", poles=2)

    assert kiloamperes(alone(device, supply=THREE_WIRE)) == 10
    assert errors(alone(device, supply={"voltage": "240 V", "system": "ungrounded_delta"}))
    assert errors(alone(device, supply={"voltage": "208Y/120 V", "system": "solidly_grounded_wye"}))


def test_r6_a_straight_480_v_rating_serves_any_480_v_system() -> None:
    for system in ("solidly_grounded_wye", "impedance_grounded_wye", "ungrounded_delta", "corner_grounded_delta"):
        document = alone(breaker("FC1", "S", "14 kA", "480 V"), supply={"voltage": "480 V", "system": system})
        assert kiloamperes(document) == 14


def test_settled_13_nominal_pairs_are_compared_not_divided() -> None:
    """480/√3 is 277.13: the nominal pair 480Y/277 serves all the same."""
    assert kiloamperes(alone(breaker("FC1", "S", "14 kA", "480Y/277 V"))) == 14


def test_r7_a_holder_that_takes_lower_classes_takes_the_rating_away() -> None:
    holder = part("fuseholder", "XF1", "S", fuse_class="H", short_circuit_ratings=withstands("200 kA"))
    document = panel(holder, fuse("FU1", "XF1", "RK5", "30 A"))

    assert kiloamperes(document) == 10


@pytest.mark.parametrize("holders", [["R", "H"], ["H", "R"]])
def test_r7_of_two_holders_on_the_ways_to_a_fuse_the_one_that_takes_lower_classes_counts(holders: list[str]) -> None:
    ways = [
        part("fuseholder", f"XF{n}", "S", fuse_class=each, short_circuit_ratings=withstands("200 kA"))
        for n, each in enumerate(holders)
    ]

    assert kiloamperes(panel(*ways, fuse("FU1", ["XF0", "XF1"], "RK5", "30 A"))) == 10


def test_r7_a_fuse_in_such_a_holder_gives_no_credit() -> None:
    def behind(holder_class: str) -> dict:
        holder = part("fuseholder", "XF1", "S", fuse_class=holder_class, short_circuit_ratings=withstands("200 kA"))
        parts = [fuse("FU2", "FU1", "CC", "15 A"), contactor("KM1", "FU2", "14 kA"), motor("MA1", "KM1")]
        return panel(holder, fuse("FU1", "XF1", "RK5", "30 A"), *parts)

    assert kiloamperes(behind("R")) == 200
    assert kiloamperes(behind("H")) == 10


def test_settled_15_a_fuse_with_no_holder_is_a_warning_and_a_condition() -> None:
    document = alone(fuse("FU1", "S", "J", "30 A"))

    assert kiloamperes(document) == 200
    assert "fuse-without-holder" in codes(document, "warning")
    assert any("rejection-type holder rated at least 200 kA" in c.text for c in rated(document).conditions)


def test_a_voltage_rating_below_the_circuit_withholds() -> None:
    document = panel(breaker("FC1"), contactor("KM1", "FC1", "65 kA", voltage_rating="300 V"), motor("MA1", "KM1"))

    assert errors(document) == {"voltage-above-rating"}


@pytest.mark.parametrize(
    ("amperes", "volts", "rated"),
    [("20 A", "600 V", True), ("20.1 A", "600 V", False), (None, "600 V", False), ("60 A", "480 V", True)],
)
def test_a_class_g_fuse_above_20_a_is_made_for_480_v(amperes: str | None, volts: str, rated: bool) -> None:
    """UL 248-5: 600 V up to 20 A, 480 V from 25 to 60 A (from memory)."""
    size = {"ampere_rating": amperes} if amperes else {}
    document = panel(
        part("fuse", "FU1", fuse_class="G", **size), supply={"voltage": volts, "system": "ungrounded_delta"}
    )

    assert errors(document) == (set() if rated else {"voltage-above-rating"})
    if rated:
        assert kiloamperes(document) == 100
