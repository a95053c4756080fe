"""Disconnects, the protective device of a supply, and the largest load, found in the one-line diagram."""

from typing import Any

import pytest

import sccr
from sccr.nameplate.one_line_facts import disconnects
from sccr.nameplate.one_line_facts import largest_load
from sccr.nameplate.one_line_facts import loads_without_current
from sccr.nameplate.one_line_facts import more_than_one_disconnect
from sccr.nameplate.one_line_facts import protective_device
from sccr.panel.one_line import OneLine
from tests.drawing import DIRECT
from tests.drawing import WYE
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part


def drawn(*components: dict[str, Any], **more: Any) -> OneLine:
    return OneLine(sccr.load_panel(panel(*components, **more)))


def main(*components: dict[str, Any], **more: Any) -> str | None:
    one_line = drawn(*components, **more)
    found = protective_device(one_line, one_line.panel.supplies[0])
    return None if found is None else found.id


def test_one_main_is_one_disconnect() -> None:
    one_line = drawn(breaker("F1"), breaker("F2", "F1"), breaker("F3", "F1"), motor("M2", "F2"), motor("M3", "F3"))

    assert disconnects(one_line) == ("F1",)
    assert not more_than_one_disconnect(one_line)


@pytest.mark.parametrize("kind", ["circuit_breaker", "disconnect_switch", "fused_disconnect_switch"])
def test_two_mains_beside_each_other_are_two_disconnects(kind: str) -> None:
    one_line = drawn(
        part("terminal_block", "X1"),
        part(kind, "Q1", "X1"),
        part(kind, "Q2", "X1"),
        motor("M1", "Q1"),
        motor("M2", "Q2"),
    )

    assert disconnects(one_line) == ("Q1", "Q2")
    assert more_than_one_disconnect(one_line)


def test_self_protected_starters_beside_each_other_must_each_be_opened() -> None:
    starters = [part("manual_motor_controller", f"Q{n}", self_protected=True) for n in (1, 2)]

    assert more_than_one_disconnect(drawn(*starters, motor("M1", "Q1"), motor("M2", "Q2")))


def test_a_fuse_or_a_contactor_is_no_disconnect() -> None:
    one_line = drawn(fuse("F1"), contactor("K1", "F1"), part("disconnect_switch", "Q1", "K1"), motor("M1", "Q1"))

    assert disconnects(one_line) == ("Q1",)


def test_two_supplies_are_more_than_one_even_behind_a_common_switch() -> None:
    supplies = [{"id": "S", **WYE}, {"id": "T", **WYE}]
    one_line = drawn(
        part("terminal_block", "X1", "S"),
        part("terminal_block", "X2", "T"),
        part("disconnect_switch", "Q1", ["X1", "X2"]),
        motor("M1", "Q1"),
        supplies=supplies,
    )

    assert disconnects(one_line) == ("Q1",)
    assert more_than_one_disconnect(one_line)


@pytest.mark.parametrize(("voltage", "more"), [("48 V", False), ("50 V", True)])
def test_a_supply_below_50_volts_does_not_count(voltage: str, more: bool) -> None:
    supplies = [{"id": "S", **WYE}, {"id": "B", **DIRECT, "voltage": voltage}]
    one_line = drawn(breaker("F1"), motor("M1", "F1"), breaker("F2", "B"), part("load", "E2", "F2"), supplies=supplies)

    assert more_than_one_disconnect(one_line) is more


def test_the_main_is_the_device_that_every_load_stands_behind() -> None:
    assert main(breaker("F1"), breaker("F2", "F1"), motor("M2", "F2")) == "F1"
    assert main(part("disconnect_switch", "Q1"), fuse("F1", "Q1"), motor("M1", "F1")) == "F1"


def test_two_branches_without_a_main_have_no_one_device() -> None:
    assert main(breaker("F1"), breaker("F2"), motor("M1", "F1"), motor("M2", "F2")) is None


def test_a_load_ahead_of_the_main_takes_its_part_away() -> None:
    assert main(breaker("F1"), motor("M1", "F1"), part("heater", "E1")) is None


def test_what_only_clamps_or_measures_may_hang_ahead_of_the_main() -> None:
    assert main(part("surge_protective_device", "P1"), breaker("F1"), motor("M1", "F1")) == "F1"


def test_the_device_stated_ahead_of_the_panel_comes_before_the_main() -> None:
    upstream = {"device": "circuit_breaker", "ampere_rating": "250 A"}
    one_line = drawn(breaker("F1"), motor("M1", "F1"), supply={**WYE, "upstream_protection": upstream})
    found = protective_device(one_line, one_line.panel.supplies[0])

    assert found is not None
    assert (found.device, found.in_field, found.ampere_rating) == ("circuit breaker", True, 250_000)


def test_a_main_in_the_field_is_told_to_be_there() -> None:
    one_line = drawn(breaker("F1", location="field"), breaker("F2", "F1"), motor("M1", "F2"))
    found = protective_device(one_line, one_line.panel.supplies[0])

    assert found is not None
    assert (found.id, found.in_field) == ("F1", True)


def test_the_largest_load_is_a_motor_or_any_other_load_and_the_first_of_equals() -> None:
    one_line = drawn(
        breaker("F1"),
        motor("M1", "F1", full_load_current="20 A"),
        part("heater", "E1", "F1", full_load_current="33.5 A"),
        motor("M2", "F1", full_load_current="33.5 A"),
    )
    found = largest_load(one_line)

    assert found is not None
    assert (found.id, found.kind, found.full_load_current) == ("E1", "heater", 33_500)
    assert loads_without_current(one_line) == ()


def test_a_power_load_without_a_current_is_named_a_control_load_is_not() -> None:
    one_line = drawn(
        breaker("F1"), motor("M1", "F1"), part("load", "K1", "F1", circuit="control"), part("lighting", "E1", "F1")
    )

    assert loads_without_current(one_line) == ("M1", "E1")
    assert largest_load(one_line) is None
