"""What a protective device breaks (method B1 to B5; IEC 60947-2, IEC 60898-1, IEC 60269-1; clauses from memory)."""

from typing import Any

import pytest

from tests.iec61439.drawing import UNEARTHED
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import capacity
from tests.iec61439.drawing import codes
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import rated
from tests.iec61439.drawing import value
from tests.iec61439.drawing import worth

BOTH = [capacity("15 kA"), capacity("7.5 kA", "ics"), capacity("6 kA", "icn")]


def with_capacities(*capacities: Document, options: Document | None = None, **more: Any) -> Document:
    device = breaker("Q1", breaking_capacities=list(capacities), **more)
    return panel(device, **({"options": options} if options else {}))


def test_the_highest_icu_that_fits_counts() -> None:
    found = with_capacities(capacity("70 kA", voltage="230 V"), capacity("36 kA"), capacity("10 kA", voltage="690 V"))

    assert worth(found, "Q1") == 36
    assert value(found, "Q1").basis == "marked"


def test_a_breaker_at_its_own_voltage_fits() -> None:
    assert worth(with_capacities(capacity("36 kA", voltage="400 V")), "Q1") == 36
    assert errors(with_capacities(capacity("36 kA", voltage="399 V"))) == {"Q1": "no-breaking-capacity"}


@pytest.mark.parametrize(
    ("options", "expected"),
    [
        ({}, 6),  # the lower of Icu 15 and Icn 6
        ({"skilled_persons_only": True}, 15),
        ({"service_breaking_capacity": True}, 6),  # the lower of Ics 7.5 and Icn 6
        ({"service_breaking_capacity": True, "skilled_persons_only": True}, 7.5),
    ],
)
def test_of_icu_ics_and_icn_the_options_decide(options: Document, expected: float) -> None:
    assert worth(with_capacities(*BOTH, options=options), "Q1") == expected


def test_icn_above_icu_does_not_raise_it() -> None:
    assert worth(with_capacities(capacity("6 kA"), capacity("10 kA", "icn")), "Q1") == 6


def test_icn_alone_counts() -> None:
    assert worth(with_capacities(capacity("6 kA", "icn")), "Q1") == 6


def test_where_ics_is_asked_for_nothing_stands_for_it() -> None:
    option = {"service_breaking_capacity": True}

    assert errors(with_capacities(capacity("15 kA"), options=option)) == {"Q1": "no-breaking-capacity"}
    assert errors(with_capacities(capacity("6 kA", "icn"), options=option)) == {"Q1": "no-breaking-capacity"}


def test_an_ics_alone_is_no_icu() -> None:
    assert errors(with_capacities(capacity("10 kA", "ics"))) == {"Q1": "no-breaking-capacity"}


def test_a_fuse_breaks_what_it_states() -> None:
    assert worth(panel(fuse("F1", current="120 kA")), "F1") == 120


def test_a_fuse_that_states_nothing_is_withheld() -> None:
    """IEC 60269-2 asks for 50 kA of industrial gG fuses (from memory); the part must say so all the same."""
    assert errors(panel(fuse("F1", current=None))) == {"F1": "no-breaking-capacity"}


def test_an_interrupting_rating_by_ul_never_counts() -> None:
    device = breaker("Q1", current=None, interrupting_ratings=[{"current": "65 kA", "voltage": "600 V"}])
    document = panel(device)

    assert errors(document) == {"Q1": "no-breaking-capacity"}
    assert "do not count" in value(document, "Q1").because
    assert "breaking_capacities" in value(document, "Q1").because


def test_a_single_pole_to_the_neutral_fits_by_that_voltage() -> None:
    document = with_capacities(capacity("10 kA", voltage="230 V"), poles=1)

    assert worth(document, "Q1") == 10
    rating = rated(document)
    assert rating.rating is not None
    assert rating.rating.voltage == "230/400 V"
    assert [c.code for c in rating.conditions] == ["supply-grounding"]


@pytest.mark.parametrize("system", ["ungrounded_delta", "impedance_grounded_wye", "corner_grounded_delta"])
def test_a_single_pole_elsewhere_needs_the_voltage_between_lines(system: str) -> None:
    """Double fault, IEC 60947-2 Annex H (from memory)."""
    supply = {"voltage": "400 V", "system": system}
    low = breaker("Q1", current="10 kA", voltage="230 V", poles=1)
    high = breaker("Q1", current="10 kA", voltage="400 V", poles=1)

    assert errors(panel(low, supply=supply)) == {"Q1": "no-breaking-capacity"}
    assert "full voltage" in value(panel(low, supply=supply), "Q1").because
    assert worth(panel(high, supply=supply), "Q1") == 10


def test_a_slash_voltage_fits_only_the_earthed_star_that_it_names() -> None:
    device = breaker("Q1", current="10 kA", voltage="230/400 V", poles=3)

    assert worth(panel(device), "Q1") == 10
    assert errors(panel(device, supply=UNEARTHED)) == {"Q1": "no-breaking-capacity"}
    assert errors(panel(device, supply={"voltage": "277/480 V"})) == {"Q1": "no-breaking-capacity"}


def test_a_straight_voltage_asks_for_no_earthing() -> None:
    assert rated(panel(breaker("Q1", poles=3))).conditions == ()


def test_direct_current_is_withheld() -> None:
    device = breaker("Q1", breaking_capacities=[capacity("20 kA", voltage="250 V", supply="dc")])

    assert errors(panel(device, supply={"voltage": "125 V", "system": "dc"})) == {"Q1": "dc-not-covered"}


def test_a_self_protected_controller_is_a_protective_device() -> None:
    starter = part("combination_motor_controller", "Q1", self_protected=True)
    able = {**starter, "breaking_capacities": [capacity("50 kA")]}

    assert errors(panel(starter, motor("M1", "Q1"))) == {"Q1": "no-breaking-capacity"}
    assert worth(panel(able, motor("M1", "Q1")), "Q1") == 50


def test_a_device_below_the_available_current_is_warned_of() -> None:
    supply = {"available_fault_current": "20 kA"}

    assert "interrupting-below-available" in codes(panel(breaker("Q1", current="19.9 kA"), supply=supply), "warning")
    assert "interrupting-below-available" not in codes(panel(breaker("Q1", current="20 kA"), supply=supply))
