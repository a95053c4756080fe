"""The circuit document: what is wrong with it, all at once, each at its pointer."""

from decimal import Decimal

import pytest

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.panel.component import Power
from sccr.schema.circuit import load_circuit
from sccr.selection.circuit import Duty
from sccr.selection.circuit import Motor
from tests.selection.drawing import circuit
from tests.selection.drawing import motor


def problems(document: object) -> list[tuple[str, str]]:
    with pytest.raises(InvalidDocument) as caught:
        load_circuit(document)  # type: ignore[arg-type]
    return [(problem.pointer, problem.code) for problem in caught.value.problems]


def test_a_whole_circuit_is_read() -> None:
    loaded = load_circuit(
        circuit(
            motor("5 hp", code_letter="G", service_factor="1.15", temperature_rise="40 °C"),
            designation="-QF3",
            available_fault_current="22 kA",
            target="35 kA",
            ambient="104 °F",
            duty="supplementary",
            continuous=False,
            wanted={"kinds": ["fuse"], "accessories": ["shunt trip"], "trip_curve": "D"},
        )
    )

    assert isinstance(loaded.load, Motor)
    assert loaded.load.power == Power(horsepower=Decimal(5))
    assert loaded.load.service_factor == Decimal("1.15")
    assert (loaded.ambient, loaded.duty, loaded.continuous) == (Decimal(40), Duty.SUPPLEMENTARY, False)
    assert (loaded.phases, loaded.ungrounded) == (3, 3)
    assert loaded.wanted.accessories == ("shunt trip",)


def test_the_safe_side_is_the_default() -> None:
    loaded = load_circuit(circuit({"current": "5 A"}))

    assert (loaded.continuous, loaded.duty, loaded.round_up) == (True, Duty.BRANCH, True)


def test_json_text_is_taken_as_well() -> None:
    text = '{"format": "circuit/1", "voltage": "120 V", "system": "single_phase_two_wire", "load": {"current": "5 A"}}'

    assert load_circuit(text) == load_circuit(text.encode())
    with pytest.raises(MalformedJson):
        load_circuit("{")


def test_everything_wrong_is_told_at_once_in_the_order_of_the_document() -> None:
    document = circuit(
        {"motor": {"horsepower": "10 HP", "phases": 2, "volts": "460 V"}},
        available_fault_current=22,
        ambient="hot",
        wanted={"trip_curve": "Q", "accessories": ["shunt trip", "bell"]},
        systm="dc",
    )
    del document["system"]

    assert problems(document) == [
        ("/load/motor/horsepower", "unknown-unit"),
        ("/load/motor/phases", "out-of-range"),
        ("/load/motor/volts", "unknown-field"),
        ("/available_fault_current", "not-a-quantity"),
        ("/ambient", "not-a-quantity"),
        ("/wanted/trip_curve", "unknown-trip-curve"),
        ("/wanted/accessories/1", "unknown-accessory"),
        ("/systm", "unknown-field"),
        ("/system", "required"),
    ]


@pytest.mark.parametrize("document", [[], "[]", None, 3])
def test_no_object_is_no_circuit(document: object) -> None:
    assert problems(document) == [("", "not-an-object")]


@pytest.mark.parametrize(
    ("load", "expected"),
    [
        ({}, ("/load/motor", "required")),
        ({"current": "5 A", "lighting": {"current": "5 A"}}, ("/load/lighting", "contradiction")),
        ({"motor": {}}, ("/load/motor/horsepower", "required")),
        ({"motor": {"full_load_current": "5 A", "code_letter": "G"}}, ("/load/motor/code_letter", "contradiction")),
        ({"motor": {"horsepower": "5 hp", "code_letter": "O"}}, ("/load/motor/code_letter", "unknown-code-letter")),
        ({"motor": {"horsepower": "5 hp", "low_speed": True}}, ("/load/motor/full_load_current", "required")),
        ({"motor": {"horsepower": "5 hp", "service_factor": 3}}, ("/load/motor/service_factor", "out-of-range")),
        ({"motor": {"horsepower": "5 hp", "service_factor": True}}, ("/load/motor/service_factor", "out-of-range")),
        ({"motor": {"horsepower": "5 hp", "temperature_rise": 40}}, ("/load/motor/temperature_rise", "not-a-quantity")),
        (
            {"motor": {"horsepower": "5 hp", "temperature_rise": "400 °C"}},
            ("/load/motor/temperature_rise", "out-of-range"),
        ),
        ({"heater": {"kw": "5 hp"}}, ("/load/heater/kw", "wrong-dimension")),
        ({"heater": {"kw": 5}}, ("/load/heater/kw", "not-a-quantity")),
        ({"heater": {}}, ("/load/heater/kw", "required")),
        ({"transformer": {"kva": "5 kW"}}, ("/load/transformer/kva", "wrong-dimension")),
        (
            {"transformer": {"kva": "5 kVA", "protection": "none"}},
            ("/load/transformer/protection", "unknown-protection"),
        ),
        ({"drive": {"input_current": "5 A", "motor": {}}}, ("/load/drive/motor/horsepower", "required")),
        ({"receptacle": {"ampere_rating": "20 A", "count": 0}}, ("/load/receptacle/count", "out-of-range")),
        ({"lighting": {}}, ("/load/lighting/current", "required")),
        ({"current": 5}, ("/load/current", "not-a-quantity")),
        ({"curent": "5 A"}, ("/load/curent", "unknown-field")),
    ],
)
def test_loads_that_are_refused(load: dict, expected: tuple[str, str]) -> None:
    assert problems(circuit(load)) == [expected]


DELTA = {"voltage": "480 V", "system": "ungrounded_delta"}


@pytest.mark.parametrize(
    ("load", "fields", "pointer"),
    [
        ({"current": "5 A"}, {"voltage": "480Y/277 V", "system": "ungrounded_delta"}, "/voltage"),
        ({"current": "5 A"}, {"phases": 1}, "/phases"),
        ({"current": "5 A"}, {"poles": 1, **DELTA}, "/poles"),
        ({"current": "5 A"}, {"poles": 1, "wires": 3}, "/poles"),
        ({"current": "5 A"}, {"poles": 3, "voltage": "240/120 V", "system": "single_phase_three_wire"}, "/poles"),
        ({"current": "5 A"}, {"poles": 3, "voltage": "125 V", "system": "dc"}, "/poles"),
        ({"motor": {"horsepower": "5 hp", "phases": 3}}, {"poles": 2}, "/poles"),
        ({"motor": {"horsepower": "5 hp", "phases": 1}}, {"poles": 3}, "/poles"),
        (
            {"motor": {"horsepower": "5 hp", "phases": 3}},
            {"voltage": "240 V", "system": "single_phase_two_wire"},
            "/load/motor/phases",
        ),
    ],
)
def test_members_that_contradict_each_other(load: dict, fields: dict, pointer: str) -> None:
    assert problems(circuit(load, **fields)) == [(pointer, "contradiction")]


@pytest.mark.parametrize(
    ("load", "fields", "poles", "volts"),
    [
        ({"current": "5 A"}, {}, 3, 480),
        ({"current": "5 A"}, {"poles": 2}, 2, 480),
        ({"current": "5 A"}, {"poles": 1}, 1, 277),
        ({"heater": {"kw": "5 kW", "phases": 1}}, {}, 2, 480),
        ({"lighting": {"current": "5 A"}}, {}, 1, 277),
        ({"lighting": {"current": "5 A"}}, DELTA, 2, 480),
        ({"lighting": {"current": "5 A"}}, {"wires": 3}, 2, 480),
        ({"lighting": {"current": "5 A"}}, {"voltage": "240/120 V", "system": "single_phase_three_wire"}, 1, 120),
        ({"current": "5 A"}, {"voltage": "240/120 V", "system": "single_phase_three_wire"}, 2, 240),
        ({"current": "5 A"}, {"voltage": "120 V", "system": "single_phase_two_wire"}, 1, 120),
        ({"current": "5 A"}, {"voltage": "125 V", "system": "dc"}, 1, 125),
        ({"current": "5 A"}, {"voltage": "125 V", "system": "dc", "poles": 2}, 2, 125),
        ({"current": "5 A"}, {"voltage": "240 V", "system": "high_leg_delta", "poles": 1}, 1, 240),
    ],
)
def test_the_conductors_to_protect_and_the_voltage_between_them(
    load: dict, fields: dict, poles: int, volts: int
) -> None:
    loaded = load_circuit(circuit(load, **fields))

    assert (loaded.ungrounded, loaded.feed.line) == (poles, volts * 1000)
