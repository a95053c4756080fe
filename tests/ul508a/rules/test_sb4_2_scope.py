"""SB4.2: who needs a rating (method, section 2)."""

import pytest

from sccr import rate
from sccr.panel.kinds import kinds
from sccr.ul508a.tables import tables
from tests.drawing import breaker
from tests.drawing import codes
from tests.drawing import contactor
from tests.drawing import errors
from tests.drawing import kiloamperes
from tests.drawing import limits
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.drawing import withstands


def branch(*parts: dict, current: str = "65 kA") -> dict:
    return panel(breaker("FC1", "S", current), *parts)


def test_every_kind_says_whether_it_needs_a_rating() -> None:
    assert set(tables().scope) == set(kinds())


@pytest.mark.parametrize("kind", ["reactor", "capacitor", "resistor", "varistor", "current_transformer", "voltmeter"])
def test_exempt_kinds_hold_nothing_down(kind: str) -> None:
    document = branch(part(kind, "X1", "FC1"))

    assert kiloamperes(document) == 65
    assert limits(document) == ["FC1"]


@pytest.mark.parametrize(
    "kind",
    ["disconnect_switch", "fused_disconnect_switch", "power_supply", "surge_protective_device", "current_meter"],
)
def test_a_kind_without_assumed_value_withholds_until_it_is_marked(kind: str) -> None:
    """A marking is required: nothing is assumed (method R2, settled 15)."""
    assert errors(branch(part(kind, "X1", "FC1"), motor("MA1", "FC1"))) == {"no-rating"}
    marked = part(kind, "X1", "FC1", short_circuit_ratings=withstands("22 kA"))
    assert kiloamperes(branch(marked, motor("MA1", "FC1"))) == 22


def test_the_wye_point_contactor_of_a_wye_delta_starter_is_exempt() -> None:
    parts = [contactor("KM1", "FC1", "22 kA"), contactor("KM3", "KM1", position="wye_point")]

    assert kiloamperes(branch(*parts)) == 22


def test_a_wye_point_exempts_no_other_kind() -> None:
    relay = part("overload_relay", "FR1", "FC1", position="wye_point")

    assert kiloamperes(branch(relay)) == 5
    assert "position-without-effect" in codes(branch(relay), "warning")


def test_a_meter_behind_a_current_transformer_is_exempt_and_a_direct_one_is_not() -> None:
    transformers = part("current_transformer", "BC1", "FC1")

    assert kiloamperes(branch(transformers, part("current_meter", "PA1", "BC1"))) == 65
    assert kiloamperes(branch(part("current_meter", "PA1", "FC1", position="behind_current_transformer"))) == 65


def test_a_shunt_counts_and_the_meter_behind_it_does_not() -> None:
    assert kiloamperes(branch(part("current_shunt", "BC1", "FC1"), part("current_meter", "PA1", "BC1"))) == 10


@pytest.mark.parametrize("kind", ["motor", "heater", "lighting", "load"])
def test_a_load_counts_only_where_the_document_puts_it_in_the_panel(kind: str) -> None:
    """Nothing is assumed for one in the panel: a marking is required."""
    inside = {"location": "panel"}

    assert kiloamperes(branch(part(kind, "X1", "FC1"))) == 65
    assert kiloamperes(branch(part(kind, "X1", "FC1", location="field"))) == 65
    assert errors(branch(part(kind, "X1", "FC1", **inside))) == {"no-rating"}
    assert kiloamperes(branch(part(kind, "X1", "FC1", **inside, short_circuit_ratings=withstands("5 kA")))) == 5


def test_field_components_are_outside_the_panel() -> None:
    assert kiloamperes(branch(part("disconnect_switch", "QB1", "FC1", location="field"), motor("MA1", "QB1"))) == 65


def test_an_exemption_is_honoured_and_repeated() -> None:
    exempt = {"reason": "listed cord-connected air conditioner", "reference": "file note 7"}
    document = branch(part("load", "EC1", "FC1", location="panel", exempt=exempt))

    assert kiloamperes(document) == 65
    assert "exempted" in codes(document, "warning")
    assert "exemption-without-reference" not in codes(document)
    assert any("file note 7" in finding.message for finding in rate(document).findings)
    assert any(exempt["reason"] in step.statement for step in rate(document).derivation)


def test_an_exemption_without_reference_is_warned_of() -> None:
    document = branch(part("load", "EC1", "FC1", location="panel", exempt={"reason": "not settled"}))

    assert "exemption-without-reference" in codes(document, "warning")


def test_the_device_that_taps_power_for_control_counts_and_what_is_behind_it_does_not() -> None:
    document = branch(
        contactor("KM1", "FC1", "65 kA"),
        breaker("FC9", "S", "10 kA", circuit="control", poles=2),
        transformer("TA1", "FC9", "0.5 kVA", "120 V", circuit="control"),
        part("fuse", "FC10", "TA1", fuse_class="miniature", circuit="control"),
        part("switch", "SF1", "FC10", circuit="control"),
    )

    assert kiloamperes(document) == 10
    assert limits(document) == ["FC9"]


def test_a_control_transformer_leaves_only_its_primary_device_to_count() -> None:
    """A transformer that feeds only control circuits (method, section 4)."""
    document = panel(
        breaker("FC9", "S", "14 kA", poles=2),
        transformer("TA1", "FC9", "0.5 kVA", "120 V"),
        breaker("FC10", "TA1", "1 kA", circuit="control"),
        part("power_supply", "TB1", "FC10", circuit="control"),
    )

    assert kiloamperes(document) == 14


def test_a_control_breaker_behind_a_main_taps_power_and_counts() -> None:
    """The main feeds no power-circuit device, but the control breaker is still what takes power for control."""
    document = panel(
        breaker("QA1", "S", "65 kA"),
        breaker("FC9", "QA1", "22 kA", circuit="control", poles=2),
        breaker("FC8", "FC9", "5 kA", circuit="control", poles=2),
        transformer("TA1", "FC9", "0.5 kVA", "120 V", circuit="control"),
    )

    assert kiloamperes(document) == 22


def test_control_marked_parts_on_the_feeder_without_a_device_of_their_own_count() -> None:
    document = panel(
        breaker("QA1", "S", "65 kA"),
        breaker("FC1", "QA1", "65 kA"),
        contactor("KM1", "FC1", "65 kA"),
        part("switch", "SF1", "QA1", circuit="control"),
    )

    assert kiloamperes(document) == 5
    assert "control-circuit-not-separate" in codes(document, "warning")


def test_a_supplementary_protector_that_taps_the_feeder_for_control_counts() -> None:
    document = panel(
        breaker("QA1", "S", "65 kA"),
        breaker("FC1", "QA1", "65 kA"),
        contactor("KM1", "FC1", "65 kA"),
        part("supplementary_protector", "FC9", "QA1", circuit="control"),
    )

    assert kiloamperes(document) == 0.2


def test_a_panel_of_control_circuits_only_needs_no_rating() -> None:
    document = panel(part("power_supply", "TB1", "S", circuit="control"), part("load", "PL1", "TB1", circuit="control"))
    rating = rate(document)

    assert (rating.status, rating.rating) == ("withheld", None)
    assert codes(document) >= {"rating-not-required"}
    assert errors(document) == set()


def test_a_part_on_the_output_of_a_drive_counts_with_a_note() -> None:
    document = branch(
        part("drive", "TA1", "FC1", short_circuit_ratings=withstands("65 kA")),
        contactor("KM1", "TA1", "10 kA", position="drive_output"),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 10
    assert "drive-output-counted" in codes(document, "note")


def test_a_panel_in_which_nothing_needs_a_rating_has_none() -> None:
    document = panel(part("disconnect_switch", "QB1", "S", location="field"), part("motor", "MA1", "QB1"))

    assert (rate(document).status, rate(document).rating) == ("withheld", None)
    assert codes(document) == {"rating-not-required"}
