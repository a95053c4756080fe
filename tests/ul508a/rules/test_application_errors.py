"""Misapplications that withhold a rating (method, section 8), one test an error."""

import pytest

from tests.drawing import DELTA
from tests.drawing import DIRECT
from tests.drawing import THREE_WIRE
from tests.drawing import TWO_WIRE
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import errors
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.drawing import withstands


def test_a_rating_below_the_circuits_voltage() -> None:
    assert errors(panel(breaker("FC1", "S", "65 kA", "240 V"))) == {"voltage-above-rating"}


def test_a_slash_rating_on_a_system_that_it_does_not_fit() -> None:
    assert errors(panel(breaker("FC1", "S", "65 kA", "480Y/277 V"), supply=DELTA)) == {"slash-rating-on-system"}


def test_a_supplementary_protector_as_the_only_protection_of_a_branch() -> None:
    protector = part("supplementary_protector", "FC1", "S", interrupting_ratings=interrupts("10 kA"))

    assert errors(panel(protector, motor("MA1", "FC1"))) == {"supplementary-protector-as-branch"}
    assert errors(panel(protector)) == {"supplementary-protector-as-branch"}
    assert errors(panel(breaker("QA1"), {**protector, "fed_from": "QA1"}, motor("MA1", "FC1"))) == set()


def test_a_branch_with_no_overcurrent_device() -> None:
    assert errors(panel(contactor("KM1", "S", "65 kA"), motor("MA1", "KM1"))) == {"unprotected-branch"}


def test_a_branch_with_a_path_around_its_device() -> None:
    document = panel(breaker("FC1"), contactor("KM1", ["FC1", "S"], "65 kA"), motor("MA1", "KM1"))

    assert errors(document) == {"unprotected-branch"}


def test_a_measuring_tap_on_the_bus_is_no_branch() -> None:
    arrester = part("surge_protective_device", "FA1", "S", short_circuit_ratings=withstands("65 kA"))

    assert errors(panel(breaker("FC1"), arrester, part("voltmeter", "PV1", "S"))) == set()


def test_upstream_protection_may_be_the_branch_device() -> None:
    supply = {
        "id": "S",
        "voltage": "480 V",
        "system": "ungrounded_delta",
        "upstream_protection": {"device": "fuse", "fuse_class": "J", "ampere_rating": "30 A"},
    }

    assert errors(panel(contactor("KM1", "S", "65 kA"), motor("MA1", "KM1"), supplies=[supply])) == set()


@pytest.mark.parametrize(
    ("holder", "fitted", "fits"),
    [
        ("J", "J", True), ("J", "RK5", False), ("R", "RK1", True), ("R", "RK5", True), ("R", "H", False),
        ("RK5", "RK1", True), ("H", "RK5", True), ("H", "H", True), ("H", "J", False), ("K5", "H", True),
        ("midget", "CC", True), ("midget", "midget", True), ("CC", "midget", False), ("CC", "CC", True),
        ("T", "T", True), ("T", "J", False), ("G", "G", True), ("G", "CC", False), ("L", "L", True),
        ("CF", "J", False), ("CF", "CF", True), ("miniature", "midget", False),
    ],
)  # fmt: skip
def test_a_fuse_in_a_holder_of_another_class(holder: str, fitted: str, fits: bool) -> None:
    carrier = part("fuseholder", "XF1", "S", fuse_class=holder)

    assert (errors(panel(carrier, fuse("FU1", "XF1", fitted, "15 A"))) == set()) == fits


@pytest.mark.parametrize(("amperes", "found"), [("30 A", set()), ("31 A", {"fuse-above-holder"})])
def test_amperes_of_a_fuse_above_its_holder(amperes: str, found: set) -> None:
    holder = part(
        "fused_disconnect_switch", "QB1", "S", ampere_rating="30 A", short_circuit_ratings=withstands("200 kA")
    )

    assert errors(panel(holder, fuse("FU1", "QB1", "J", amperes))) == found


def test_single_pole_breakers_line_to_line_need_the_marking() -> None:
    poles = [breaker(name, "S", "65 kA", poles=1) for name in ("FC1", "FC2")]
    marked = [{**pole, "line_to_line": True} for pole in poles]
    load = part("heater", "EB1", ["FC1", "FC2"])

    assert errors(panel(*poles, load)) == {"single-pole-line-to-line"}
    assert errors(panel(*marked, load)) == set()
    assert errors(panel(poles[0], part("heater", "EB1", "FC1"), supply=DELTA)) == {"single-pole-line-to-line"}
    assert errors(panel(poles[0], part("heater", "EB1", "FC1"))) == set()


def test_single_pole_fuses_joined_line_to_line_are_judged_line_to_line() -> None:
    poles = [fuse(name, "S", "T", "15 A", poles=1, voltage_rating="300 V") for name in ("FU1", "FU2")]

    assert errors(panel(*poles, part("heater", "EB1", ["FU1", "FU2"]))) == {"voltage-above-rating"}
    assert errors(panel(*poles, part("heater", "EB1", "FU1"), part("heater", "EB2", "FU2"))) == set()


def test_a_voltage_rating_is_held_to_the_circuit_though_the_part_is_exempt() -> None:
    assert errors(panel(breaker("FC1"), part("reactor", "RA1", "FC1", voltage_rating="240 V"))) == {
        "voltage-above-rating"
    }


def test_a_wye_without_neutral_has_no_line_to_neutral_circuit() -> None:
    supply = {"voltage": "480Y/277 V", "system": "solidly_grounded_wye", "wires": 3}

    assert errors(panel(breaker("FC1", "S", "65 kA", poles=1), supply=supply)) == {"single-pole-line-to-line"}


def test_a_single_pole_device_is_judged_line_to_neutral_where_there_is_a_neutral() -> None:
    device = breaker("FC1", "S", "14 kA", "277 V", poles=1)

    assert errors(panel(device)) == set()
    assert errors(panel({**device, "line_to_line": True})) == {"voltage-above-rating"}
    assert errors(panel(breaker("FC1", "S", "10 kA", "120 V", poles=1), supply=THREE_WIRE)) == set()
    assert errors(panel(breaker("FC1", "S", "10 kA", "120 V", poles=1), supply=TWO_WIRE)) == set()


@pytest.mark.parametrize(("poles", "phases", "found"), [(3, 3, set()), (2, 3, {"too-few-poles"}), (2, 1, set())])
def test_poles_fewer_than_the_conductors_of_what_is_fed(poles: int, phases: int, found: set) -> None:
    assert errors(panel(breaker("FC1", poles=poles), motor("MA1", "FC1", phases=phases))) == found


def test_a_load_in_the_field_needs_its_poles_as_well() -> None:
    assert errors(panel(breaker("FC1", poles=2), motor("MA1", "FC1", phases=3, location="field"))) == {"too-few-poles"}


def test_three_single_poles_marked_line_to_line_make_a_three_phase_circuit() -> None:
    poles = [breaker(f"FC{n}", poles=1, line_to_line=True) for n in (1, 2, 3)]

    assert errors(panel(*poles, motor("MA1", ["FC1", "FC2", "FC3"], phases=3))) == set()
    assert errors(panel(*poles, motor("MA1", ["FC1", "FC2"], phases=3))) == {"too-few-poles"}


def test_a_two_pole_contactor_leaves_too_few_as_well() -> None:
    assert errors(panel(breaker("FC1"), contactor("KM1", "FC1", "65 kA", poles=2), motor("M", "KM1", phases=3))) == {
        "too-few-poles"
    }


def test_a_drive_makes_its_own_three_phases() -> None:
    drive = part("drive", "TA1", "FC1", short_circuit_ratings=withstands("65 kA"))

    assert errors(panel(breaker("FC1", poles=2), drive, motor("MA1", "TA1", phases=3))) == set()


def test_a_dc_circuit_on_an_ac_only_rating() -> None:
    assert errors(panel(breaker("FC1", "S", "10 kA", "250 V"), supply=DIRECT)) == {"voltage-above-rating"}
    marked = breaker("FC1", interrupting_ratings=interrupts("10 kA", "250 V", supply="dc"))
    assert errors(panel(marked, supply=DIRECT)) == set()
    assert errors(panel(marked, supply=TWO_WIRE)) == {"voltage-above-rating"}


def test_a_miniature_fuse_above_125_v_as_branch_protection() -> None:
    supply = {"voltage": "240 V", "system": "single_phase_two_wire"}
    marked = fuse("FU1", "S", "miniature", "10 A", interrupting_ratings=interrupts("1.5 kA", "250 V"))

    assert errors(panel(marked, part("heater", "EB1", "FU1"), supply=supply)) == {"miniature-fuse-as-branch"}
    tap = {**marked, "circuit": "control"}
    assert errors(panel(tap, part("load", "PL1", "FU1", circuit="control"), supply=supply)) == set()


@pytest.mark.parametrize(("volts", "found"), [("125 V", set()), ("125.1 V", {"miniature-fuse-as-branch"})])
def test_the_miniature_fuse_stops_at_125_v(volts: str, found: set) -> None:
    marked = fuse("FU1", "S", "miniature", "10 A", interrupting_ratings=interrupts("10 kA", "250 V"))
    supply = {"voltage": volts, "system": "single_phase_two_wire"}

    assert errors(panel(marked, part("heater", "EB1", "FU1"), supply=supply)) == found


def test_errors_behind_a_transformer_withhold_as_well() -> None:
    document = panel(
        breaker("FC1"),
        transformer("TA1", "FC1", "5 kVA", "120 V", phases=1),
        breaker("FC2", "TA1", "5 kA", "480Y/277 V"),
    )

    assert errors(document) == {"slash-rating-on-system"}


def test_all_errors_are_named_at_once() -> None:
    document = panel(
        breaker("FC1", "S", "65 kA", "240 V"),
        contactor("KM1", "S", "65 kA"),
        motor("MA1", "KM1", phases=3),
        motor("M2", "FC1"),
    )

    assert errors(document) == {"voltage-above-rating", "unprotected-branch"}


def test_parts_that_do_not_count_are_not_held_to_the_voltage() -> None:
    def switch(ahead: str, **more: object) -> dict:
        return part("switch", "SB1", ahead, voltage_rating="120 V", **more)

    control = breaker("FC2", "FC1", circuit="control")

    assert errors(panel(breaker("FC1"), control, switch("FC2", circuit="control"))) == set()
    assert errors(panel(breaker("FC1"), switch("FC1", location="field"))) == set()
    assert errors(panel(breaker("FC1"), switch("FC1"))) == {"voltage-above-rating"}


def test_a_single_pole_between_two_lines_is_held_to_its_marking_where_it_counts() -> None:
    """Two ungrounded conductors are enough; a breaker in the field, or in an exempt control circuit, is not judged."""
    ahead = breaker("QA1", poles=2)
    tap = breaker("FC0", "QA1", poles=2, circuit="control")

    assert errors(panel(ahead, breaker("FC1", "QA1", poles=1), supply=DELTA)) == {"single-pole-line-to-line"}
    assert errors(panel(ahead, breaker("FC1", "QA1", poles=1, location="field"), supply=DELTA)) == set()
    assert errors(panel(ahead, tap, breaker("FC1", "FC0", poles=1, circuit="control"), supply=DELTA)) == set()
