"""The panel of a bucket elevator, whole and right, for each test to spoil in its own way."""

from collections.abc import Callable
from collections.abc import Mapping
from copy import deepcopy
from typing import Any

import pytest

from sccr.errors import InvalidDocument
from sccr.schema.catalogue import Catalogue
from sccr.schema.load import load_panel

Document = dict[str, Any]
Problems = list[tuple[str, str]]

_ELEVATOR: Document = {
    "format": "panel/1",
    "panel": {"designation": "BE-4", "title": "Bucket elevator, leg 4", "revision": "C", "enclosure_type": "12"},
    "supplies": [
        {
            "id": "S1",
            "voltage": "480Y/277 V",
            "system": "solidly_grounded_wye",
            "phases": 3,
            "wires": 4,
            "frequency": "60 Hz",
            "available_fault_current": "42 kA",
            "available_fault_current_date": "2026-03-31",
            "full_load_current": "86.5 A",
            "upstream_protection": {
                "device": "fuse",
                "fuse_class": "J",
                "ampere_rating": "200 A",
                "interrupting_ratings": [{"voltage": "600 V", "current": "200 kA"}],
            },
        }
    ],
    "components": [
        {
            "id": "-QA1",
            "kind": "circuit_breaker",
            "fed_from": "S1",
            "poles": 3,
            "ampere_rating": "100 A",
            "voltage_rating": "480 V",
            "interrupting_ratings": [
                {"voltage": "480 V", "current": "65 kA"},
                {"voltage": "240 V", "current": "100 kA"},
            ],
            "current_limiting": True,
            "let_through": [{"available": "65 kA", "peak": "21 kA", "i2t": "900 kA²s", "voltage": "480 V"}],
            "standards": ["UL 489"],
            "accessories": ["auxiliary contact"],
            "accessory_limit": 1,
        },
        {
            "id": "-QA2",
            "kind": "circuit_breaker",
            "fed_from": "-QA1",
            "part": "NB-3P-30",
            "poles": 3,
            "ampere_rating": "30 A",
            "voltage_rating": "480Y/277 V",
            "interrupting_ratings": [{"voltage": "480Y/277 V", "current": "14 kA"}],
            "series_ratings": [
                {
                    "line_side": {"device": "circuit_breaker", "parts": ["NB-3P-100"]},
                    "voltage": "480Y/277 V",
                    "current": "65 kA",
                    "reference": "combination table, sheet 3",
                }
            ],
        },
        {
            "id": "-QM2",
            "kind": "contactor",
            "fed_from": ["-QA2"],
            "horsepower": "10 hp",
            "short_circuit_ratings": [
                {"voltage": "600 V", "current": "5 kA"},
                {
                    "voltage": "480 V",
                    "current": "100 kA",
                    "protected_by": {"device": "fuse", "fuse_classes": ["J", "CC"], "max_ampere_rating": "30 A"},
                },
            ],
        },
        {
            "id": "-MA2",
            "kind": "motor",
            "fed_from": "-QM2",
            "horsepower": "7.5 kW",
            "full_load_current": "14 A",
            "phases": 3,
        },
        {
            "id": "-TA1",
            "kind": "transformer",
            "fed_from": "-QA2",
            "transformer": {
                "kva": "5 kVA",
                "primary": "480 V",
                "secondary": ["240/120 V", "24 V"],
                "secondary_system": ["single_phase_three_wire", "single_phase_two_wire"],
                "phases": 1,
                "impedance": "2.1 %",
                "isolated": True,
            },
        },
        {
            "id": "-XT1",
            "kind": "terminal_block",
            "fed_from": "-TA1/2",
            "circuit": "control",
            "location": "panel",
            "position": "behind_current_transformer",
            "exempt": {"reason": "beyond the control fuse", "reference": "drawing 4-117"},
            "mounting": "rail",
        },
    ],
    "target": "65 kA",
    "options": {"credit_feeder_components": False},
}


@pytest.fixture(scope="session")
def elevator() -> Callable[[], Document]:
    """Return a function that gives a new copy of the panel document."""
    return lambda: deepcopy(_ELEVATOR)


@pytest.fixture
def document(elevator: Callable[[], Document]) -> Document:
    """Return a copy of the panel document."""
    return elevator()


@pytest.fixture(scope="session")
def problems() -> Callable[..., Problems]:
    """Return a function that gives the pointer and code of everything that is wrong with a document."""

    def found(document: Mapping[str, Any] | str | bytes, catalogue: Catalogue | None = None) -> Problems:
        try:
            load_panel(document, catalogue, "test-edition")
        except InvalidDocument as error:
            return [(problem.pointer, problem.code) for problem in error.problems]
        return []

    return found


@pytest.fixture(scope="session")
def details() -> Callable[..., dict[str, str]]:
    """Return a function that gives what is said of everything that is wrong with a document, by pointer."""

    def found(document: Mapping[str, Any] | str | bytes, catalogue: Catalogue | None = None) -> dict[str, str]:
        with pytest.raises(InvalidDocument) as caught:
            load_panel(document, catalogue, "test-edition")
        return {problem.pointer: problem.detail for problem in caught.value.problems}

    return found
