"""What the documentation of the assembly must say (method P5; IEC 61439-1 6.2, from memory)."""

from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import capacity
from tests.iec61439.drawing import contactor
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import rated


def conditions(document: Document) -> dict[str, str]:
    return {condition.code: condition.text for condition in rated(document).conditions}


def test_the_device_that_a_rating_rests_on_is_named() -> None:
    found = conditions(panel(fuse("F1"), contactor("K1", "F1", behind_gg("50 kA", coordination=2)), motor("M1", "K1")))

    assert found == {"fuses": "F1 (fuse, gG, 63 A) to be replaced by the same type and rating only"}


def test_a_device_that_nothing_rests_on_is_not() -> None:
    assert conditions(panel(breaker("Q1"), part("bus_bar", "W1", "Q1"))) == {}


def test_upstream_protection_is_a_condition_with_what_it_must_break() -> None:
    upstream = {
        "device": "fuse",
        "utilization_category": "gG",
        "ampere_rating": "63 A",
        "breaking_capacities": [capacity("100 kA", "fuse")],
    }
    document = panel(part("bus_bar", "W1"), breaker("Q1", "W1"), supply={"upstream_protection": upstream})

    assert conditions(document) == {
        "upstream-protection": "supply S to be protected by fuse gG, 63 A maximum, breaking at least 100 kA"
    }


def test_without_it_the_short_circuit_is_to_be_cleared_upstream() -> None:
    found = conditions(panel(part("bus_bar", "W1"), breaker("Q1", "W1")))

    assert found == {"upstream-clearing": "a short circuit at supply S to be cleared upstream of the assembly"}
