"""The site document: what it may say, and everything that is wrong with one at once, each at its place."""

import copy
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings
from hypothesis import strategies as st

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.fault_current import fault_current
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Level
from sccr.fault_current.site import Method
from sccr.fault_current.site import Transformer
from sccr.panel.voltage import System
from sccr.schema.site import load_site
from sccr.schema.site import read_source
from tests.fault_current.drawing import conductor
from tests.fault_current.drawing import impedance
from tests.fault_current.drawing import motors
from tests.fault_current.drawing import site
from tests.fault_current.drawing import transformer
from tests.fault_current.drawing import utility

FULL = site(
    utility(
        "500 MVA", x_over_r=10, minimum_available="12 kA", minimum_x_over_r=8.5, cross_check="20.918 kA", bus="service"
    ),
    {**transformer(load_loss="9.5 kW", x_over_r=None), "bus": "switchboard", "stated": "20 kA"},
    motors(full_load_current="300 A", group="mixed"),
    conductor("500 kcmil", "164 ft", sets=2, temperature="25 °C", end_temperature="75 °C", neutral_size="none"),
    impedance("10 m", "0.0812", "0.09"),
    alternates=[{"name": "generator", "utility": utility("9 kA", "480Y/277 V")}],
    title="Elevator 3",
    frequency="60 Hz",
)


def problems(document: Any) -> list[tuple[str, str]]:
    with pytest.raises(InvalidDocument) as caught:
        load_site(document)
    return [(problem.pointer, problem.code) for problem in caught.value.problems]


def changed(path: str, value: Any) -> dict[str, Any]:
    """The full document with the member at a path (of words and numbers) replaced; None leaves it out."""
    document = copy.deepcopy(FULL)
    place: Any = document
    *way, last = path.split("/")
    for token in way:
        place = place[int(token) if isinstance(place, list) else token]
    if value is None:
        del place[last]
    else:
        place[last] = value
    return document


def test_a_full_document_is_read_to_si_units() -> None:
    read = load_site(FULL)
    main, generator = read.states
    first, _, run, stated = main.elements

    assert main.utility.available == Level(volt_amperes=500e6) and main.utility.minimum == Level(current=12_000)
    assert isinstance(first, Transformer) and first.load_loss == 9500 and first.tolerance == 0
    assert first.system is System.SOLIDLY_GROUNDED_WYE and first.stated == 20_000
    assert isinstance(run, Conductor) and run.length == pytest.approx(49.9872) and run.size == "500 kcmil"
    assert isinstance(stated, Conductor) and stated.resistance == pytest.approx(8.12e-5)
    assert generator.name == "generator" and read.method is Method.OHMIC and read.title == "Elevator 3"
    assert read.document_digest is not None and len(read.document_digest) == 64


def test_text_bytes_and_mapping_are_the_same_document() -> None:
    text = json.dumps(FULL)

    assert load_site(text) == load_site(text.encode()) == load_site(FULL)
    with pytest.raises(MalformedJson):
        load_site("{")


def test_source_of_a_supply_is_the_same_object_below_its_own_path() -> None:
    source = {name: value for name, value in FULL.items() if name != "format"}
    read, wrong = read_source(source)
    assert read is not None and not wrong

    read, wrong = read_source({**source, "utility": {}}, ("supplies", 0, "source"))
    assert read is None
    assert {each.path for each in wrong} == {
        ("supplies", 0, "source", "utility", "voltage"),
        ("supplies", 0, "source", "utility", "available"),
    }


def test_everything_wrong_is_told_at_once_in_the_order_of_the_document() -> None:
    document = {
        "utility": {"available": 5, "voltag": "13.8 kV"},
        "elements": [{"conductor": {"size": "500", "length": "3"}}, {"motors": {}}, {}],
        "x": 1,
    }

    assert problems(document) == [
        ("/utility/available", "not-a-quantity"),
        ("/utility/voltag", "unknown-field"),
        ("/utility/voltage", "required"),
        ("/elements/0/conductor/size", "unknown-size"),
        ("/elements/0/conductor/length", "not-a-quantity"),
        ("/elements/0/conductor/material", "required"),
        ("/elements/1/motors/full_load_current", "required"),
        ("/elements/2/transformer", "required"),
        ("/x", "unknown-field"),
    ]


TRANSFORMER, RUN, STATED, MOTORS = (
    "elements/0/transformer",
    "elements/2/conductor",
    "elements/3/conductor",
    "elements/1/motors",
)
REFUSED = [
    ("utility/available", "500", "not-a-quantity"),
    ("utility/available", "500 MW", "not-a-quantity"),
    ("utility/available", "65.000 A", "ambiguous-number"),
    ("utility/x_over_r", "10", "not-a-number"),
    ("utility/x_over_r", True, "not-a-number"),
    ("utility/x_over_r", 0, "out-of-range"),
    ("utility/x_over_r", -3, "out-of-range"),
    ("utility/minimum_available", "infinite", "contradiction"),
    ("utility/minimum_available", "900 MVA", "contradiction"),
    ("utility/line_to_ground_available", "40 kA", "contradiction"),
    ("utility/system", "solidly_grounded", "unknown-system"),
    ("utility/system", "single_phase_two_wire", "contradiction"),
    ("utility/phases", 2, "out-of-range"),
    (f"{TRANSFORMER}/kva", 1000, "not-a-quantity"),
    (f"{TRANSFORMER}/impedance", 5.75, "not-a-quantity"),
    (f"{TRANSFORMER}/impedance", "0.0575", "not-a-quantity"),
    (f"{TRANSFORMER}/impedance_tolerance", "60 %", "out-of-range"),
    (f"{TRANSFORMER}/primary", "480 V", "contradiction"),
    (f"{TRANSFORMER}/load_loss", "95 kW", "contradiction"),
    (f"{TRANSFORMER}/load_loss", "9 hp", "wrong-dimension"),
    (f"{TRANSFORMER}/x_over_r", 6, "contradiction"),
    (f"{TRANSFORMER}/nominal_voltage", "208 V", "contradiction"),
    (f"{TRANSFORMER}/secondary_system", "single_phase_three_wire", "contradiction"),
    (f"{TRANSFORMER}/primary_connection", "wye", "unknown-connection-of-a-primary"),
    (f"{RUN}/size", "500 MCM", "unknown-size"),
    (f"{RUN}/size", "0 AWG", "unknown-size"),
    (f"{RUN}/size", "1/0", "unknown-size"),
    (f"{RUN}/size", 500, "not-a-size"),
    (f"{RUN}/length", 164, "not-a-quantity"),
    (f"{RUN}/length", "164", "not-a-quantity"),
    (f"{RUN}/length", "-3 m", "not-positive"),
    (f"{RUN}/sets", 0, "out-of-range"),
    (f"{RUN}/sets", 2.0, "not-an-integer"),
    (f"{RUN}/material", None, "required"),
    (f"{RUN}/material", "Cu", "unknown-material"),
    (f"{RUN}/conduit", "emt", "unknown-conduit"),
    (f"{RUN}/temperature", "75 F", "not-a-quantity"),
    (f"{RUN}/temperature", "900 °C", "out-of-range"),
    (f"{RUN}/reactance", "0.09 ohm/km", "contradiction"),
    (f"{STATED}/reactance", None, "required"),
    (f"{STATED}/resistance", "0.0812", "not-a-quantity"),
    (f"{STATED}/resistance", "81.2 ohm/m", "out-of-range"),
    (f"{STATED}/conduit", "steel", "not-applicable"),
    (f"{MOTORS}/horsepower", "50 hp", "contradiction"),
    (f"{MOTORS}/contribution", 4, "contradiction"),
    (f"{MOTORS}/group", "small", "unknown-group-of-motors"),
    ("elements/1/bus", "somewhere", "not-applicable"),
    ("elements/1/conductor", {"size": "2 AWG", "material": "copper", "length": "5 m"}, "contradiction"),
    ("alternates/0/name", "as described", "duplicate-name"),
    ("frequency", "400 Hz", "out-of-range"),
    ("voltage_tolerance", "10 %", "not-applicable"),
    ("voltage_tolerance", "8 %", "unknown-voltage-tolerance"),
    ("method", "ansi", "unknown-method"),
    ("format", "panel/1", "unknown-format"),
]


@pytest.mark.parametrize(("path", "value", "code"), REFUSED)
def test_refused(path: str, value: Any, code: str) -> None:
    found = problems(changed(path, value))

    assert code in {each for _, each in found}
    assert any(pointer.startswith("/" + path.rsplit("/", 1)[0]) or "/" not in path for pointer, _ in found)


@pytest.mark.parametrize(
    ("document", "pointer"),
    [
        (
            site(utility(), transformer(measured=True, impedance_tolerance="10 %")),
            "/elements/0/transformer/impedance_tolerance",
        ),
        (site(utility(x_over_r=5), transformer()), "/utility/x_over_r"),
        (site(utility(), motors(share_of_transformer="50 %")), "/elements/0/motors/share_of_transformer"),
        (site(utility("9 kA", "240/120 V", phases=1), transformer()), "/elements/0/transformer/phases"),
        (site(utility("9 kA", "480Y/277 V", phases=1)), "/utility/phases"),
        (site(utility("9 kA", "480 V", minimum_x_over_r=5)), "/utility/minimum_x_over_r"),
        (
            site(utility("9 kA", "480 V"), conductor("6 mm²", "5 m", material="aluminum")),
            "/elements/0/conductor/size",
        ),
    ],
)
def test_what_does_not_fit_together(document: dict[str, Any], pointer: str) -> None:
    assert [where for where, _ in problems(document)] == [pointer]


def test_a_contradiction_is_told_beside_an_unreadable_element() -> None:
    found = problems(site(utility(), transformer(primary="480 V"), conductor("500", "5 ft"), y=1))

    assert [pointer for pointer, _ in found] == [
        "/elements/0/transformer/primary",
        "/elements/1/conductor/size",
        "/y",
    ]


@pytest.mark.parametrize(
    "size",
    ["18 AWG", "14 AWG", "1/0 AWG", "250 kcmil", "1000 kcmil", "95 mm²", "95mm²", "95 mm2", "1.5 mm²"],
)
def test_sizes(size: str) -> None:
    assert fault_current(load_site(site(utility("9 kA", "480 V"), conductor(size, "5 m")))).available


@pytest.mark.parametrize(("text", "ohms"), [("0.1 ohm/km", 1e-4), ("100 mΩ/km", 1e-4), ("0.03048 Ω/kft", 1e-4)])
def test_impedances_of_a_length(text: str, ohms: float) -> None:
    run = impedance("5 m", "0.1", "0.1")
    run["conductor"]["resistance"] = text
    element = load_site(site(utility("9 kA", "480 V"), run)).states[0].elements[0]

    assert isinstance(element, Conductor) and element.resistance == pytest.approx(ohms)


def test_large_utilities_are_taken() -> None:
    assert load_site(site(utility("2500 MVA", "34.5 kV"))).states[0].utility.available.volt_amperes == 2.5e9


JUNK = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.sampled_from(["", "infinite", "5 kA", "480 V", "1e9 V", "nan", "5 %", "x" * 300, "500 kcmil", "none"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["utility", "size", "a/b~"]), inner),
    max_leaves=6,
)


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(each for token, member in inner for each in places(member, (*path, token)))]


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(places(FULL)[1:]), JUNK)
def test_whatever_is_written_is_read_or_refused_at_its_place(path: tuple[Any, ...], junk: Any) -> None:
    document = copy.deepcopy(FULL)
    place: Any = document
    for token in path[:-1]:
        place = place[token]
    place[path[-1]] = junk
    try:
        result = fault_current(load_site(document))
    except InvalidDocument as error:
        assert error.problems
        assert all(problem.pointer == "" or problem.pointer.startswith("/") for problem in error.problems)
    else:
        json.dumps(result.as_dict(), allow_nan=False)
