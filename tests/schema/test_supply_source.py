"""What stands upstream of a supply, as its `source`: read, or refused with all that is wrong, each in its place."""

from collections.abc import Callable
from typing import Any

import pytest

from sccr.schema.load import load_panel
from sccr.schema.site import load_site

Document = dict[str, Any]
Find = Callable[[Document], list[tuple[str, str]]]

UTILITY = {"available": "500 MVA", "voltage": "13.8 kV", "x_over_r": 8}
TRANSFORMER = {
    "kva": "750 kVA",
    "primary": "13.8 kV",
    "secondary": "480Y/277 V",
    "impedance": "5.75 %",
    "impedance_tolerance": "10 %",
    "x_over_r": 5,
}
RUN = {"size": "500 kcmil", "material": "copper", "conduit": "steel", "sets": 2, "length": "60 ft"}
AT = "/supplies/0/source"


def source(**changed: Any) -> Document:
    usual = {"utility": UTILITY, "elements": [{"transformer": TRANSFORMER}, {"conductor": RUN}]}
    return {**usual, **changed}


def behind(**changed: Any) -> Document:
    """A source that ends in another transformer."""
    return source(elements=[{"transformer": {**TRANSFORMER, **changed}}])


def on(document: Document, source: Document, **supply: Any) -> Document:
    """The panel with a source, and its supply changed; None leaves a field out."""
    stated = {**document["supplies"][0], "source": source, **supply}
    document["supplies"][0] = {name: value for name, value in stated.items() if value is not None}
    return document


def test_a_source_is_read_as_a_site_is(document: Document) -> None:
    panel = load_panel(on(document, source(), available_fault_current=None), None, "x")
    assert panel.supplies[0].available_fault_current is None
    assert panel.supplies[0].source == load_site(source())


def test_a_source_stands_beside_a_current_that_is_stated(document: Document) -> None:
    supply = load_panel(on(document, source()), None, "x").supplies[0]
    assert supply.source is not None and supply.available_fault_current == 42_000_000


def test_all_that_a_source_lacks_is_told_at_once(document: Document, problems: Find) -> None:
    elements = [
        {"transformer": {"kva": 750, "primary": "13.8 kV", "secondary": "480Y/277 V"}},
        {"conductor": {"size": "500 kcmil", "lenght": "60 ft"}},
        {},
    ]
    spoiled = on(document, {"utility": {"available": "500"}, "elements": elements})
    spoiled["components"][0]["poles"] = "3"

    assert problems(spoiled) == [
        (f"{AT}/utility/available", "not-a-quantity"),
        (f"{AT}/utility/voltage", "required"),
        (f"{AT}/elements/0/transformer/kva", "not-a-quantity"),
        (f"{AT}/elements/0/transformer/impedance", "required"),
        (f"{AT}/elements/1/conductor/lenght", "unknown-field"),
        (f"{AT}/elements/1/conductor/length", "required"),
        (f"{AT}/elements/1/conductor/material", "required"),
        (f"{AT}/elements/2/transformer", "required"),
        ("/components/0/poles", "not-an-integer"),
    ]


@pytest.mark.parametrize(
    ("written", "supply", "pointer", "code"),
    [
        (behind(secondary="208Y/120 V"), {}, AT, "contradiction"),
        (behind(phases=1, secondary="480 V"), {}, AT, "contradiction"),
        (source(utility={**UTILITY, "available": "infinite", "x_over_r": 5}, elements=[]), {}, None, "contradiction"),
        (source(utility={"available": "infinite", "voltage": "480 V"}, elements=[]), {}, f"{AT}/elements", "required"),
        (
            source(alternates=[{"utility": {"available": "infinite", "voltage": "480 V"}}]),
            {},
            f"{AT}/alternates/0/elements",
            "required",
        ),
        (
            source(alternates=[{"utility": {"available": "9 kA", "voltage": "240 V"}}]),
            {},
            f"{AT}/alternates/0",
            "contradiction",
        ),
        (source(frequency="50 Hz"), {}, f"{AT}/frequency", "contradiction"),
        (source(), {"frequency": "400 Hz"}, AT, "not-applicable"),
        (source(), {"system": "dc", "voltage": "480 V", "phases": None, "wires": None, "frequency": None}, AT, None),
        ([], {}, AT, "not-an-object"),
        ("500 MVA", {}, AT, "not-an-object"),
        (None, {}, AT, "null"),
    ],
)
def test_a_source_that_does_not_lead_to_its_supply_is_refused(
    document: Document, problems: Find, written: Any, supply: Document, pointer: str | None, code: str | None
) -> None:
    panel = on(document, {}, **supply)
    panel["supplies"][0]["source"] = written
    if "dc" in supply.values():
        del panel["supplies"][0]["upstream_protection"]
    expected = (pointer or f"{AT}/utility/x_over_r", code or "not-applicable")

    assert expected in problems(panel)


@pytest.mark.parametrize(
    ("written", "supply"),
    [
        (behind(secondary="460 V"), {}),  # within a tenth
        (behind(secondary="480 V"), {"voltage": "480 V", "system": "single_phase_two_wire", "phases": 1, "wires": 2}),
        (behind(), {"voltage": "277 V", "system": "single_phase_two_wire", "phases": 1, "wires": 2}),
        (source(frequency="60 Hz"), {"frequency": "0.06 kHz"}),
        (source(frequency="50 Hz"), {"frequency": None}),
    ],
)
def test_a_source_that_leads_to_its_supply_is_taken(
    document: Document, problems: Find, written: Document, supply: Document
) -> None:
    voltage = [(at, code) for at, code in problems(on(document, written, **supply)) if at.startswith("/supplies")]
    assert voltage == []


def test_a_source_is_calculated_at_the_frequency_of_its_supply(document: Document) -> None:
    """Reactances taken for 60 Hz on a supply of 50 Hz would make the current too low."""
    at_50 = load_panel(on(document, source(), frequency="50 Hz"), None, "x").supplies[0].source
    unstated = load_panel(on(document, source(frequency="50 Hz"), frequency=None), None, "x").supplies[0].source

    assert at_50 is not None and at_50.frequency == 50.0
    assert unstated is not None and unstated.frequency == 50.0


def test_a_source_holds_json_only(document: Document, problems: Find) -> None:
    wrong = {"a": float("inf"), "b": [(1, 2), b"x", {3: 4}], "c/d": "\x00", "e": 2**60, "f": {"_schema": float("nan")}}
    assert problems(on(document, wrong)) == [
        (f"{AT}/a", "number-out-of-range"),
        (f"{AT}/b/0", "not-json"),
        (f"{AT}/b/1", "not-json"),
        (f"{AT}/b/2", "not-a-name"),
        (f"{AT}/c~1d", "control-character"),
        (f"{AT}/e", "number-out-of-range"),
        (f"{AT}/f", "number-out-of-range"),
    ]


def test_a_source_that_holds_itself_ends(document: Document, problems: Find) -> None:
    itself: Document = {}
    itself |= {"a": itself, "b": itself}
    assert (AT, "too-large") in problems(on(document, itself))
    deep: Document = {}
    for _ in range(100_000):
        deep = {"a": deep}
    assert [code for _, code in problems(on(document, deep))] == ["too-deep"]


@pytest.mark.parametrize(("level", "good"), [("1000 MVA", True), ("100000 MVA", True), ("100001 MVA", False)])
def test_a_utility_may_deliver_up_to_a_hundred_gigavolt_amperes(
    document: Document, problems: Find, level: str, good: bool
) -> None:
    found = problems(on(document, source(utility={**UTILITY, "available": level, "voltage": "13.8 kV"})))
    assert found == ([] if good else [(f"{AT}/utility/available", "out-of-range")])


def test_a_transformer_may_not(document: Document, problems: Find) -> None:
    assert problems(on(document, behind(kva="1001 MVA"))) == [(f"{AT}/elements/0/transformer/kva", "out-of-range")]
