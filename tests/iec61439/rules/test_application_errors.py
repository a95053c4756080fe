"""What withholds a rating (method B4, W4, X)."""

from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import contactor
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import short_time


def test_every_error_is_told_at_once() -> None:
    document = panel(breaker("Q1", current=None), contactor("K1", "Q1"), part("switch", "P", "Q1"), motor("M1", "K1"))

    assert errors(document) == {"Q1": "no-breaking-capacity", "K1": "no-rating", "P": "no-rating"}


def test_a_branch_without_a_device_is_withheld() -> None:
    main = part("disconnect_switch", "Q0", short_time_ratings=[short_time("10 kA")])

    assert errors(panel(main, motor("M1", "Q0"))) == {"M1": "unprotected-branch"}
    assert errors(panel(main, breaker("Q1", "Q0"), motor("M1", "Q1"))) == {}


def test_a_supplementary_protector_is_no_device() -> None:
    guard = part("supplementary_protector", "F9", short_time_ratings=[short_time("10 kA")])

    assert errors(panel(guard, motor("M1", "F9"))) == {"F9": "supplementary-protector-as-branch"}


def test_upstream_protection_that_breaks_nothing_protects_no_branch() -> None:
    bare = {"device": "circuit_breaker", "ampere_rating": "63 A"}
    bar = part("bus_bar", "W1")

    assert errors(panel(bar, motor("M1", "W1"), supply={"upstream_protection": bare})) == {
        "S": "upstream-not-relied-on"
    }


def test_a_three_phase_motor_needs_three_conductors() -> None:
    document = panel(breaker("Q1", poles=2), {**motor("M1", "Q1"), "phases": 3})

    assert errors(document) == {"M1": "too-few-poles"}


def test_a_part_serves_no_circuit_above_its_own_voltage() -> None:
    assert errors(panel({**breaker("Q1"), "voltage_rating": "230 V"})) == {"Q1": "voltage-above-rating"}
    assert errors(panel({**breaker("Q1"), "voltage_rating": "400 V"})) == {}


def test_a_fuse_is_not_above_its_holder() -> None:
    holder = part("fuseholder", "X1", "Q1", ampere_rating="32 A", conditional_ratings=[behind_gg("50 kA")])
    device = breaker("Q1")

    assert errors(panel(device, holder, fuse("F1", "X1"))) == {"F1": "fuse-above-holder"}
    assert errors(panel(device, holder, fuse("F1", "X1", amperes="32 A"))) == {}
