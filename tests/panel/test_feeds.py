"""What each component is fed with, by systems and poles (method, section 8 and settled 16)."""

import pytest

from sccr import load_panel
from sccr.panel.feeds import Feed
from sccr.panel.feeds import feeds
from sccr.panel.one_line import OneLine
from tests.drawing import THREE_WIRE
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer


def fed(name: str, *components: dict, **more: object) -> list[Feed]:
    return list(feeds(OneLine(load_panel(panel(*components, **more)))).own[name])


def volts(feed: Feed) -> tuple[float, int]:
    return feed.line / 1_000, feed.conductors


@pytest.mark.parametrize(
    ("poles", "expected"), [(3, (480, 3)), (2, (480, 2)), (1, (277, 1)), (None, (480, 3)), (4, (480, 3))]
)
def test_poles_on_a_solidly_grounded_wye(poles: int | None, expected: tuple) -> None:
    device = breaker("FC1", **({"poles": poles} if poles else {}))

    assert volts(fed("M", device, motor("M", "FC1"))[0]) == expected


@pytest.mark.parametrize(
    ("system", "voltage", "expected"),
    [
        ("ungrounded_delta", "480 V", (480, 2)),
        ("impedance_grounded_wye", "480 V", (480, 2)),
        ("corner_grounded_delta", "480 V", (480, 2)),
        ("high_leg_delta", "240/120 V", (240, 1)),
        ("single_phase_three_wire", "240/120 V", (120, 1)),
        ("single_phase_two_wire", "120 V", (120, 1)),
        ("dc", "125 V", (125, 1)),
        ("solidly_grounded_wye", "208 V", (120, 1)),
    ],
)
def test_a_single_pole_on_each_system(system: str, voltage: str, expected: tuple) -> None:
    supply = {"voltage": voltage, "system": system}

    assert volts(fed("FC1", breaker("FC1", poles=1), supply=supply)[0]) == expected


def test_single_poles_of_one_supply_joined_are_line_to_line() -> None:
    poles = [breaker(f"FC{n}", poles=1) for n in (1, 2, 3)]

    assert volts(fed("E", *poles[:2], part("heater", "E", ["FC1", "FC2"]))[0]) == (480, 2)
    assert volts(fed("E", *poles, part("heater", "E", ["FC1", "FC2", "FC3"]))[0]) == (480, 3)


def test_two_contactors_behind_one_single_pole_are_not_joined() -> None:
    contactors = [contactor("KM1", "FC1"), contactor("KM2", "FC1")]

    assert volts(fed("M", breaker("FC1", poles=1), *contactors, motor("M", ["KM1", "KM2"]))[0]) == (277, 1)


@pytest.mark.parametrize(
    ("secondary", "phases", "system", "expected"),
    [
        ("208Y/120 V", 3, None, "solidly_grounded_wye"),
        ("240/120 V", 1, None, "single_phase_three_wire"),
        ("120 V", 1, None, "single_phase_two_wire"),
        ("480 V", 3, None, "ungrounded_delta"),
        ("480 V", 3, "solidly_grounded_wye", "solidly_grounded_wye"),
    ],
)
def test_what_an_unstated_secondary_is_taken_for(
    secondary: str, phases: int, system: str | None, expected: str
) -> None:
    stated = {"secondary_system": system} if system else {}
    nameplate = transformer("TA1", "QA1", "10 kVA", secondary, phases=phases, **stated)

    assert fed("FC1", breaker("QA1"), nameplate, breaker("FC1", "TA1"))[0].system == expected


def test_a_transformer_takes_the_phases_of_its_circuit() -> None:
    nameplate = transformer("TA1", "QA1", "10 kVA", "240 V")

    assert fed("FC1", breaker("QA1", poles=2), nameplate, breaker("FC1", "TA1"))[0].conductors == 1
    assert fed("FC1", breaker("QA1"), nameplate, breaker("FC1", "TA1"))[0].conductors == 3


def test_a_component_fed_from_two_supplies_stands_in_both() -> None:
    supplies = [{"id": "A", "voltage": "480Y/277 V", "system": "solidly_grounded_wye"}, {"id": "B", **THREE_WIRE}]
    found = fed("K", breaker("FC1", "A"), breaker("FC2", "B"), contactor("K", ["FC1", "FC2"]), supplies=supplies)

    assert [feed.origin for feed in found] == ["A", "B"]
