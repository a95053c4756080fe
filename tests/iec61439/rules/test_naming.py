"""Which device a rating names (method W1, B6)."""

from typing import Any

import pytest

from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_breaker
from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import capacity
from tests.iec61439.drawing import contactor
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import value
from tests.iec61439.drawing import worth

CLASS_J = {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "63 A"}


def behind(*devices: Document, rating: Document) -> Document:
    return panel(*devices, contactor("K1", devices[-1]["id"], rating), motor("M1", "K1"))


def ul_fuse(fuse_class: str = "J", fed_from: str = "S", **more: Any) -> Document:
    """A fuse told by its class of UL 248, with a breaking capacity by IEC."""
    capacities = [capacity("80 kA", "fuse")]
    return part("fuse", "F1", fed_from, fuse_class=fuse_class, breaking_capacities=capacities, **more)


@pytest.mark.parametrize(("amperes", "expected"), [("63 A", 50), ("35 A", 50), ("63.5 A", None)])
def test_a_fuse_up_to_the_maximum_is_the_one_named(amperes: str, expected: float | None) -> None:
    assert worth(behind(fuse("F1", amperes=amperes), rating=behind_gg("50 kA")), "K1") == expected


def test_a_fuse_of_another_category_is_not() -> None:
    motor_fuse = {**fuse("F1"), "utilization_category": "aM"}
    document = behind(motor_fuse, rating=behind_gg("50 kA"))

    assert errors(document) == {"K1": "no-rating"}
    assert "another class or category" in value(document, "K1").because


def test_no_class_takes_the_place_of_another() -> None:
    """As the method of UL 508A lets it where a class lets through less (R4)."""
    rating = {"current": "50 kA", "voltage": "400 V", "protected_by": {**CLASS_J, "fuse_classes": ["RK5"]}}

    assert worth(behind(ul_fuse("RK5", ampere_rating="60 A"), rating=rating), "K1") == 50
    assert worth(behind(ul_fuse("RK1", ampere_rating="60 A"), rating=rating), "K1") is None
    assert worth(behind(ul_fuse("J", ampere_rating="60 A"), rating=rating), "K1") is None


def test_a_fuse_of_unknown_amperes_is_not_named() -> None:
    rating = {"current": "50 kA", "voltage": "400 V", "protected_by": CLASS_J}

    assert worth(behind(ul_fuse(ampere_rating="60 A"), rating=rating), "K1") == 50
    assert worth(behind(ul_fuse(), rating=rating), "K1") is None


@pytest.mark.parametrize(("holder", "expected"), [("R", 50), ("H", None)])
def test_a_holder_that_takes_lower_classes_refuses_a_class(holder: str, expected: float | None) -> None:
    rating = {"current": "50 kA", "voltage": "400 V", "protected_by": {**CLASS_J, "fuse_classes": ["RK1"]}}
    carrier = part("fuseholder", "X9", fuse_class=holder, conditional_ratings=[rating])
    document = behind(carrier, ul_fuse("RK1", "X9", ampere_rating="60 A"), rating=rating)

    assert worth(document, "K1") == expected


def test_such_a_holder_refuses_no_category() -> None:
    carrier = part("fuseholder", "X9", fuse_class="H", conditional_ratings=[behind_gg("80 kA")])
    document = behind(carrier, fuse("F1", "X9"), rating=behind_gg("50 kA"))

    assert worth(document, "K1") == 50


@pytest.mark.parametrize(("amperes", "expected"), [("63 A", 50), ("80 A", None), (None, None)])
def test_a_breaker_within_the_maximum_is_the_one_named(amperes: str | None, expected: float | None) -> None:
    more = {"ampere_rating": amperes} if amperes else {}

    assert worth(behind(breaker("Q1", **more), rating=behind_breaker("50 kA")), "K1") == expected


@pytest.mark.parametrize(("fitted", "expected"), [("B-1", 50), ("B-2", None), (None, None)])
def test_where_parts_are_listed_only_these_are_named(fitted: str | None, expected: float | None) -> None:
    rating = {"current": "50 kA", "voltage": "400 V", "protected_by": {"device": "circuit_breaker", "parts": ["B-1"]}}
    device = breaker("Q1", **({"part": fitted} if fitted else {}))

    assert worth(behind(device, rating=rating), "K1") == expected


def test_no_breaker_stands_for_a_fuse() -> None:
    assert worth(behind(breaker("Q1", ampere_rating="16 A"), rating=behind_gg("50 kA")), "K1") is None
    assert worth(behind(fuse("F1", amperes="16 A"), rating=behind_breaker("50 kA")), "K1") is None
