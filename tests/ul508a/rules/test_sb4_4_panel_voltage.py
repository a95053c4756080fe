"""SB4.4: the voltage of the rating: the lowest at which every used rating holds; a slash stays a slash."""

import pytest

from tests.drawing import THREE_WIRE
from tests.drawing import WYE
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import rated
from tests.drawing import transformer
from tests.drawing import withstands


def voltage(document: dict) -> str:
    return rated(document).rating.voltage


@pytest.mark.parametrize(
    ("marked", "expected"),
    [
        (["600 V", "600 V"], "600 V"),
        (["600 V", "480 V"], "480 V"),
        (["600 V", "480Y/277 V"], "480Y/277 V"),
        (["600Y/347 V", "480 V"], "480Y/277 V"),
        (["600Y/347 V", "600 V"], "600Y/347 V"),
        (["480Y/277 V", "600Y/347 V"], "480Y/277 V"),
    ],
)
def test_the_lowest_voltage_and_the_slash(marked: list[str], expected: str) -> None:
    device = breaker("FC1", "S", "65 kA", marked[0])
    part_ = contactor("KM1", "FC1", short_circuit_ratings=withstands("65 kA", marked[1]))

    assert voltage(panel(device, part_)) == expected


def test_an_assumed_value_holds_at_the_supplys_voltage() -> None:
    assert voltage(panel(breaker("FC1"), contactor("KM1", "FC1"))) == "480 V"
    assert voltage(panel(breaker("FC1"), contactor("KM1", "FC1", voltage_rating="600 V"))) == "600 V"


def test_only_the_rating_that_was_used_binds() -> None:
    ratings = [*interrupts("65 kA", "480 V"), *interrupts("14 kA", "600 V")]

    assert voltage(panel(part("circuit_breaker", "FC1", "S", interrupting_ratings=ratings))) == "480 V"


def test_a_straight_rating_line_to_neutral_bounds_the_voltage_to_ground() -> None:
    document = panel(breaker("QA1"), breaker("FC1", "QA1", "14 kA", "277 V", poles=1), part("lighting", "EA1", "FC1"))

    assert voltage(document) == "600Y/277 V"


def test_what_stands_behind_a_transformer_does_not_lower_it_but_its_primary_does() -> None:
    def with_transformer(**more: object) -> dict:
        return panel(
            breaker("FC1"),
            transformer("TA1", "FC1", "5 kVA", "120 V", phases=1, **more),
            breaker("FC2", "TA1", "5 kA", "120 V"),
        )

    assert voltage(with_transformer()) == "600 V"
    assert voltage(with_transformer(primary="480 V")) == "480 V"


def test_the_row_of_a_credit_binds() -> None:
    """Class G above 20 A stands in 480 V rows of Table SB4.2."""
    document = panel(
        fuse("FU1", "S", "G", "30 A", voltage_rating="600 V"),
        fuse("FU2", "FU1", "CC", "15 A", voltage_rating="600 V"),
        contactor("KM1", "FU2", "10 kA"),
        motor("MA1", "KM1"),
    )

    assert voltage(document) == "480 V"


def test_a_three_wire_rating_stays_one() -> None:
    document = panel(breaker("FC1", "S", "10 kA", "240/120 V", poles=2), supply=THREE_WIRE)

    assert voltage(document) == "240/120 V"
    assert rated(document).rating.text == "10 kA rms symmetrical, 240/120 V maximum"


def test_the_device_outside_that_a_rating_rests_on_binds_it() -> None:
    device = {"device": "fuse", "fuse_class": "J", "ampere_rating": "100 A"}
    supply = {**WYE, "upstream_protection": {**device, "interrupting_ratings": interrupts("200 kA", "500 V")}}
    tested = contactor("KM1", "S", short_circuit_ratings=[behind_fuse("100 kA", ["J"], "100 A")])

    assert voltage(panel(tested, supply=supply)) == "500 V"


@pytest.mark.parametrize(("poles", "rating", "of_t"), [(1, "277 V", "600Y/277 V"), (1, "480 V", "600Y/347 V")])
def test_a_part_between_line_and_neutral_of_two_supplies(poles: int, rating: str, of_t: str) -> None:
    def pole(name: str, ahead: str) -> dict:
        return breaker(name, ahead, "14 kA", "277 V" if name == "FC1" else rating, poles=poles)

    switch = part("switch", "QS1", ["FC1", "FC2"], poles=1, short_circuit_ratings=withstands("14 kA", rating))
    ways = [breaker("QA1"), breaker("QA2", "T"), pole("FC1", "QA1"), pole("FC2", "QA2"), switch]
    rating_ = rated(panel(*ways, supplies=[{"id": "S", **WYE}, {"id": "T", **WYE}]))

    assert [each.rating.voltage for each in rating_.supplies if each.rating] == ["600Y/277 V", of_t]


def test_a_slash_rating_on_a_three_wire_system_stays_one() -> None:
    assert voltage(panel(breaker("FC1", "S", "10 kA", "240/120 V", poles=2), supply=THREE_WIRE)) == "240/120 V"


@pytest.mark.parametrize(("stated", "expected"), [({"voltage_rating": "277 V"}, "600Y/277 V"), ({}, "600Y/347 V")])
def test_an_assumed_part_line_to_neutral_bounds_the_voltage_to_ground(stated: dict, expected: str) -> None:
    """By its own voltage; one that states none holds at the supply's, and the rating stays a slash rating."""
    switch = part("switch", "SB1", "FC1", poles=1, **stated)

    assert voltage(panel(breaker("QA1"), breaker("FC1", "QA1", "14 kA", poles=1), switch)) == expected


def test_a_device_in_the_panel_that_a_combination_rests_on_binds_where_it_stands() -> None:
    pole = fuse("FU1", "QA1", "T", "30 A", poles=1, voltage_rating="300 V")
    switch = part("switch", "SB1", "FU1", poles=1, short_circuit_ratings=[behind_fuse("50 kA", ["T"], "30 A")])

    assert voltage(panel(breaker("QA1", "S", "100 kA"), pole, switch)) == "600Y/300 V"
