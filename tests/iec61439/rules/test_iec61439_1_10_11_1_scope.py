"""What is verified and what is not (method X1, E3; IEC 61439-1 10.11.1 and 10.11.2 c, from memory)."""

import pytest

from sccr import rate
from sccr.iec61439.tables import tables
from sccr.panel.kinds import kinds
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_breaker
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import codes
from tests.iec61439.drawing import contactor
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import kiloamperes
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import transformer
from tests.iec61439.drawing import value


def test_every_kind_has_a_role() -> None:
    assert tables().roles.keys() == kinds().keys()
    assert {role.name for role in tables().roles.values()} == {"breaking", "withstand", "conductor", "load", "none"}


def test_types_of_coordination_are_for_controllers_and_overload_relays() -> None:
    coordinated = {name for name, role in tables().roles.items() if role.coordinated}

    assert coordinated == {name for name, kind in kinds().items() if kind.controller} | {"overload_relay"}


def basis(*parts: Document, name: str = "P") -> str:
    return value(panel(breaker("Q1"), *parts), name).basis


@pytest.mark.parametrize("kind", ["motor", "load", "heater", "lighting"])
def test_loads_need_no_rating(kind: str) -> None:
    assert basis(part(kind, "P", "Q1")) == "exempt"


def test_a_load_that_is_stated_to_stand_in_the_panel_counts() -> None:
    """As for UL 508A: a heater of the enclosure is wired in the assembly."""
    assert basis(part("heater", "P", "Q1", location="panel")) == "missing"


def test_what_stands_in_the_field_needs_none() -> None:
    assert basis(part("switch", "P", "Q1", location="field")) == "exempt"


def test_the_output_of_a_drive_and_metering_need_none() -> None:
    meter = part("current_meter", "P", "B1")
    current_transformer = part("current_transformer", "B1", "Q1")

    assert basis(part("contactor", "P", "Q1", position="drive_output")) == "exempt"
    assert basis(current_transformer, meter) == "exempt"
    assert basis(current_transformer, meter, name="B1") == "missing"
    assert basis(part("current_meter", "P", "Q1")) == "missing"


def test_a_control_circuit_counts_as_any_other() -> None:
    """UL 508A leaves out what stands behind the device that taps power for it."""
    parts = [breaker("F9", "Q1", circuit="control"), contactor("K9", "F9", circuit="control")]

    assert errors(panel(breaker("Q1"), *parts)) == {"K9": "no-rating"}


def test_an_exemption_of_the_document_is_respected_and_warned_of() -> None:
    exempt = {"reason": "type test 12"}
    document = panel(breaker("Q1"), part("switch", "P", "Q1", exempt=exempt))

    assert kiloamperes(document) == 50
    assert {"exempted", "exemption-without-reference"} <= codes(document, "warning")


@pytest.mark.parametrize(
    ("kva", "secondary", "impedance", "small"),
    [
        ("10 kVA", "110 V", "4 %", True),
        ("10.1 kVA", "110 V", "4 %", False),
        ("10 kVA", "110 V", "3.9 %", False),
        ("10 kVA", "110 V", None, False),
        (None, "110 V", "4 %", False),
        ("1.6 kVA", "24 V", "4 %", True),
        ("1.61 kVA", "24 V", "4 %", False),
        ("1.6 kVA", "109 V", "4 %", True),
        ("10 kVA", "109 V", "4 %", False),
        ("10 kVA", ["230 V", "24 V"], "4 %", False),  # one secondary below 110 V
        ("1.6 kVA", ["230 V", "24 V"], "4 %", True),
    ],
)
def test_behind_a_small_transformer_of_enough_impedance_parts_need_none(
    kva: str | None, secondary: object, impedance: str | None, small: bool
) -> None:
    more = {"impedance": impedance} if impedance else {}
    nameplate = transformer("T1", "Q1", kva, secondary, phases=1, **more)
    winding = "T1/1" if isinstance(secondary, list) else "T1"
    document = panel(breaker("Q1"), nameplate, breaker("F2", winding), contactor("K1", "F2"), motor("M1", "K1"))

    assert errors(document) == ({} if small else {"K1": "no-rating"})
    assert value(document, "K1").basis == ("exempt" if small else "missing")


def test_an_autotransformer_is_not_taken() -> None:
    nameplate = transformer("T1", "Q1", "1 kVA", "230 V", phases=1, impedance="5 %", isolated=False)

    assert errors(panel(breaker("Q1"), nameplate, breaker("F2", "T1"), contactor("K1", "F2"))) == {"K1": "no-rating"}


def test_devices_behind_it_need_a_breaking_capacity_all_the_same() -> None:
    nameplate = transformer("T1", "Q1", "1 kVA", "230 V", phases=1, impedance="5 %")

    assert errors(panel(breaker("Q1"), nameplate, breaker("F2", "T1", None))) == {"F2": "no-breaking-capacity"}


def test_a_transformer_behind_a_small_one_changes_nothing() -> None:
    outer = transformer("T1", "Q1", "1 kVA", "230 V", phases=1, impedance="5 %")
    inner = transformer("T2", "F2", "0.5 kVA", "24 V", phases=1)
    document = panel(breaker("Q1"), outer, breaker("F2", "T1"), inner, contactor("K1", "T2"))

    assert value(document, "K1").basis == "exempt"


def test_a_part_that_is_fed_around_it_counts() -> None:
    nameplate = transformer("T1", "Q1", "1 kVA", "400 V", phases=1, impedance="5 %")
    both = part("switch", "P", ["F2", "Q1"])

    assert errors(panel(breaker("Q1"), nameplate, breaker("F2", "T1"), both)) == {"P": "no-rating"}


def test_where_nothing_counts_there_is_nothing_to_rate() -> None:
    document = panel(part("contactor", "K1", position="drive_output"), motor("M1", "K1"))

    assert "nothing-to-rate" in {finding.code for finding in rate(document).findings}
    assert rate(document).status == "withheld"


def test_a_rated_part_needs_nothing_more() -> None:
    part_ = contactor("K1", "Q1", behind_breaker("36 kA"))

    assert kiloamperes(panel(breaker("Q1", ampere_rating="63 A"), part_, motor("M1", "K1"))) == 36
