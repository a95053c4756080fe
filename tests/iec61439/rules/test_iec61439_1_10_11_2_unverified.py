"""Plain conductors without verification (method E1, E2; IEC 61439-1 10.11.2 a and b, from memory)."""

import pytest

from tests.iec61439.drawing import Document
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import point
from tests.iec61439.drawing import rated
from tests.iec61439.drawing import short_time
from tests.iec61439.drawing import transformer
from tests.iec61439.drawing import value
from tests.iec61439.drawing import worth


def bar(fed_from: str = "Q1", **more: object) -> Document:
    return part("bus_bar", "W1", fed_from, **more)


def limiting(*points: Document, current: str = "65 kA") -> Document:
    return breaker("Q1", current=current, let_through=list(points), current_limiting=True)


@pytest.mark.parametrize("kind", ["bus_bar", "terminal_block", "power_distribution_block"])
def test_plain_conductors_are_good_for_10_ka(kind: str) -> None:
    document = panel(breaker("Q1"), part(kind, "W1", "Q1"))

    assert worth(document, "W1") == 10
    assert value(document, "W1").basis == "table"


@pytest.mark.parametrize("kind", ["fuseholder", "receptacle", "surge_protective_device", "capacitor", "voltmeter"])
def test_devices_are_not(kind: str) -> None:
    assert errors(panel(breaker("Q1"), part(kind, "W1", "Q1"))) == {"W1": "no-rating"}


def test_behind_a_device_that_lets_through_17_ka_up_to_its_point() -> None:
    points = [point("30 kA", "15 kA"), point("50 kA", "17 kA"), point("65 kA", "17.001 kA")]
    document = panel(limiting(*points), bar())

    assert worth(document, "W1") == 50
    assert value(document, "W1").basis == "let-through"


def test_the_device_must_break_it() -> None:
    assert worth(panel(limiting(point("50 kA", "15 kA"), current="25 kA"), bar()), "W1") == 25


def test_a_first_point_above_17_ka_leaves_10_ka() -> None:
    assert worth(panel(limiting(point("30 kA", "20 kA"), point("50 kA", "15 kA")), bar()), "W1") == 10


def test_points_below_10_ka_do_not_lower_it() -> None:
    assert worth(panel(limiting(point("5 kA", "4 kA")), bar()), "W1") == 10


def test_a_rating_that_counts_takes_its_place_even_where_it_is_lower() -> None:
    device = breaker("Q1", clearing_time="0.1 s")

    assert worth(panel(device, bar(short_time_ratings=[short_time("6 kA")])), "W1") == 6
    assert worth(panel(device, bar(short_time_ratings=[short_time("25 kA")])), "W1") == 25


def test_ahead_of_all_protection_they_make_no_short_time_rating() -> None:
    rating = rated(panel(bar("S"), breaker("Q1", "W1"))).rating
    assert rating is not None

    assert rating.text == "Icc 10 kA, Ipk 17 kA, 400 V"


def test_behind_a_transformer_without_a_device_of_its_own_10_ka_hold() -> None:
    points = [point("50 kA", "15 kA")]
    document = panel(limiting(*points), transformer("T1", "Q1", "20 kVA", "230 V", phases=1), bar("T1"))

    assert worth(document, "W1") == 10
