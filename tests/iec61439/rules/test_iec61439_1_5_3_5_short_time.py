"""Short-time withstand currents (method W3a, W3b, W3c; IEC 61439-1 5.3.5 and 10.11.2, from memory)."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sccr.iec61439.rules.iec61439_1_5_3_5_short_time import lowered_for
from tests.iec61439.drawing import STAR
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import limits
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import point
from tests.iec61439.drawing import rated
from tests.iec61439.drawing import short_time
from tests.iec61439.drawing import value
from tests.iec61439.drawing import worth

KILO = 1_000_000


def behind(device: Document, *ratings: Document, kind: str = "disconnect_switch") -> Document:
    return panel(device, part(kind, "Q2", "Q1", short_time_ratings=list(ratings)))


@pytest.mark.parametrize(
    ("icw", "duration", "clearing", "expected"),
    [
        ("10 kA", "1 s", "0.2 s", 10),  # shorter: never raised, though 10 · √(1/0.2) = 22.4 kA
        ("10 kA", "0.2 s", "0.2 s", 10),
        ("10 kA", "0.1 s", "0.4 s", 5),  # 10 · √(0.1/0.4) = 10 · 1/2
        ("12 kA", "0.1 s", "0.9 s", 4),  # 12 · √(1/9)
        ("10 kA", "0.1 s", "0.2 s", 7.071067),  # 10 · √(1/2) = 7.0710678 kA, rounded down to the milliampere
    ],
)
def test_the_square_of_the_current_times_the_duration_stays(
    icw: str, duration: str, clearing: str, expected: float
) -> None:
    assert worth(behind(breaker("Q1", clearing_time=clearing), short_time(icw, duration)), "Q2") == expected


@given(st.integers(1, 200 * KILO), st.decimals("0.001", "5", places=3), st.decimals("0.001", "5", places=3))
def test_lowered_is_the_largest_current_of_no_more_joule(current: int, duration: Decimal, longer: Decimal) -> None:
    found = lowered_for(current, duration, longer)

    assert found <= current
    assert found**2 * longer <= current**2 * duration or found == current
    if longer > duration:
        assert (found + 1) ** 2 * longer > current**2 * duration


def test_without_clearing_time_or_let_through_nothing_is_claimed() -> None:
    document = behind(breaker("Q1"), short_time("10 kA", "3 s"))

    assert errors(document) == {"Q2": "no-rating"}
    assert "state clearing_time or let_through of Q1" in value(document, "Q2").because


def test_it_is_worth_no_more_than_the_device_breaks() -> None:
    document = behind(breaker("Q1", current="8 kA", clearing_time="0.1 s"), short_time("10 kA"))

    assert worth(document, "Q2") == 8
    assert limits(document) == ["Q1"]


def test_of_several_ratings_the_best_counts() -> None:
    device = breaker("Q1", clearing_time="0.4 s")

    assert worth(behind(device, short_time("20 kA", "0.1 s"), short_time("12 kA", "1 s")), "Q2") == 12


def test_beside_a_conditional_rating_the_better_counts() -> None:
    device = {**breaker("Q1", clearing_time="0.1 s"), "ampere_rating": "63 A"}
    switch = part("disconnect_switch", "Q2", "Q1", short_time_ratings=[short_time("20 kA")])

    assert worth(panel(device, {**switch, "conditional_ratings": [behind_gg("50 kA")]}), "Q2") == 20


# By let-through: 10 kA for 1 s is 100 · 10^6 A²s, and its peak by Table 7 is 1.7 · 10 kA = 17 kA.
POINTS = [point("20 kA", "12 kA", "90 kA²s"), point("40 kA", "17 kA", "1000 kA²s"), point("50 kA", "17.1 kA", "1 kA²s")]


def limiting(*points: Document, **more: object) -> Document:
    return breaker("Q1", current="65 kA", let_through=list(points), current_limiting=True, **more)


def test_up_to_the_last_point_that_peak_and_joule_allow() -> None:
    document = behind(limiting(*POINTS), short_time("10 kA"))

    assert worth(document, "Q2") == 40
    assert value(document, "Q2").basis == "let-through"


def test_a_stated_peak_takes_the_place_of_table_7() -> None:
    assert worth(behind(limiting(*POINTS), short_time("10 kA", peak="20 kA")), "Q2") == 50
    assert worth(behind(limiting(*POINTS), short_time("10 kA", peak="16.9 kA")), "Q2") == 20


@pytest.mark.parametrize(
    ("duration", "expected"),
    [
        ("0.01 s", 40),  # 10² · 10^6 · 0.01 = 1000 · 10³ A²s: just the second point
        ("0.009 s", 20),
        ("0.0009 s", 20),  # 90 · 10³ A²s: just the first
        ("0.00089 s", None),
    ],
)
def test_the_joule_integral_is_held_to_the_square(duration: str, expected: float | None) -> None:
    assert worth(behind(limiting(*POINTS), short_time("10 kA", duration)), "Q2") == expected


def test_a_point_without_a_joule_integral_ends_the_walk() -> None:
    unstated = [POINTS[0], point("40 kA", "13 kA"), point("50 kA", "14 kA", "90 kA²s")]

    assert worth(behind(limiting(*unstated), short_time("10 kA")), "Q2") == 20


def test_a_higher_point_does_not_make_up_for_a_lower_one() -> None:
    dip = [point("20 kA", "18 kA", "1 kA²s"), point("40 kA", "12 kA", "1 kA²s")]

    assert errors(behind(limiting(*dip), short_time("10 kA"))) == {"Q2": "no-rating"}


def test_points_at_too_low_a_voltage_do_not_count() -> None:
    low = [{**each, "voltage": "230 V"} for each in POINTS]

    assert worth(behind(limiting(*low), short_time("10 kA")), "Q2") is None


def test_points_above_the_breaking_capacity_are_cut() -> None:
    device = {**limiting(*POINTS), **breaker("Q1", current="30 kA")}

    assert worth(behind(device, short_time("10 kA")), "Q2") == 30


def test_the_better_of_let_through_and_clearing_time_counts() -> None:
    assert worth(behind(limiting(POINTS[0], clearing_time="20 ms"), short_time("30 kA")), "Q2") == 30


@pytest.mark.parametrize(
    ("peak", "expected"),
    [
        ("24 kA", 12),  # 2.0 · 12 kA
        ("23 kA", 11.5),  # still above 10 kA: 23 / 2.0
        ("20 kA", 10),  # at 10 kA n is 1.7, and 20 / 2.0 is not above it
        ("18 kA", 10),  # 18 / 2.0 = 9 lies in the row below: its end, 10 kA, needs 17
        ("17 kA", 10),
        ("15.3 kA", 9),  # 15.3 / 1.7
    ],
)
def test_a_stated_peak_is_not_exceeded_by_table_7(peak: str, expected: float) -> None:
    document = behind(breaker("Q1", clearing_time="0.1 s"), short_time("12 kA", peak=peak))

    assert worth(document, "Q2") == expected


def ahead(*parts: Document, **more: object) -> Document:
    """Parts in a row ahead of the main breaker."""
    row = [{**each, "fed_from": "S" if n == 0 else parts[n - 1]["id"]} for n, each in enumerate(parts)]
    return panel(*row, breaker("Q1", parts[-1]["id"]), **more)


def switch(name: str, *ratings: Document, kind: str = "disconnect_switch") -> Document:
    return part(kind, name, short_time_ratings=list(ratings))


def test_ahead_of_all_protection_the_panel_has_an_icw_with_its_duration() -> None:
    rating = rated(ahead(switch("Q0", short_time("12 kA", "0.5 s")))).rating
    assert rating is not None

    assert rating.text == "Icw 12 kA (0.5 s), Ipk 24 kA, 400 V"  # n = 2.0 above 10 kA


def test_the_reference_is_the_longest_duration_and_shorter_ones_are_lowered_to_it() -> None:
    """4 times the duration is half the current."""
    document = ahead(switch("Q0", short_time("20 kA", "0.25 s")), switch("Q9", short_time("15 kA", "1 s")))

    assert worth(document, "Q0") == 10
    assert worth(document, "Q9") == 15
    rating = rated(document).rating
    assert rating is not None
    assert rating.duration == 1
    assert "upstream-clearing" in {condition.code for condition in rated(document).conditions}


def test_of_one_part_the_longest_entry_counts_and_of_those_the_highest() -> None:
    entries = [short_time("40 kA", "0.1 s"), short_time("12 kA", "1 s"), short_time("15 kA", "1 s")]

    assert worth(ahead(switch("Q0", *entries)), "Q0") == 15


def test_a_part_ahead_of_all_protection_that_states_none_is_withheld() -> None:
    document = ahead(part("disconnect_switch", "Q0", conditional_ratings=[behind_gg("50 kA")]))

    assert errors(document) == {"Q0": "no-rating"}
    assert "upstream_protection" in value(document, "Q0").because


def test_upstream_protection_makes_it_conditional() -> None:
    upstream = {
        "device": "fuse",
        "utilization_category": "gG",
        "ampere_rating": "63 A",
        "breaking_capacities": [{"current": "100 kA", "voltage": "400 V", "kind": "fuse"}],
    }
    main = part("disconnect_switch", "Q0", conditional_ratings=[behind_gg("50 kA")])
    document = ahead(main, supply={"upstream_protection": upstream})

    rating = rated(document)
    assert rating.rating is not None
    assert rating.rating.designation == "Icc"
    assert worth(document, "Q0") == 50
    assert "upstream-protection" in {condition.code for condition in rating.conditions}


def test_one_open_path_is_held_to_the_icw() -> None:
    supplies = [{"id": "S", **STAR}, {"id": "T", **STAR}]
    switch_ = part("disconnect_switch", "Q2", ["Q1", "T"], short_time_ratings=[short_time("6 kA")])
    protected = {**switch_, "conditional_ratings": [behind_gg("50 kA")]}
    document = panel(breaker("Q1", clearing_time="0.1 s"), protected, breaker("Q3", "Q2"), supplies=supplies)

    assert worth(document, "Q2") == 6
    by_supply = {s.id: s.rating.designation for s in rated(document).supplies if s.rating is not None}
    assert by_supply == {"S": "Icc", "T": "Icw"}
