"""SB4.2: tested series ratings (method, section 5 and settled 17)."""

import pytest

from tests.drawing import breaker
from tests.drawing import codes
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import kiloamperes
from tests.drawing import motor
from tests.drawing import panel

LINE_SIDE = {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "100 A"}


def series(**more: object) -> dict:
    return {"line_side": LINE_SIDE, "voltage": "480 V", "current": "65 kA", "reference": "listed table 4", **more}


def two_branches(rating: dict, current: str | None = "60 A", own: str = "50 A", main: dict | None = None) -> dict:
    """The lower breaker FC1, 14 kA, and a second branch whose motor stands between the devices."""
    other = {"full_load_current": current} if current else {}
    return panel(
        main or fuse("FU1", "S", "J", "100 A"),
        breaker("FC1", "FU1", "14 kA", series_ratings=[rating]),
        contactor("KM1", "FC1", "200 kA"),
        motor("MA1", "KM1", full_load_current=own),
        fuse("FU2", "FU1", "J", "60 A"),
        contactor("KM2", "FU2", "200 kA"),
        motor("MA2", "KM2", **other),
    )


def test_a_series_rating_raises_the_interrupting_rating_behind_the_named_device() -> None:
    assert kiloamperes(two_branches(series())) == 65


def test_it_needs_a_reference() -> None:
    rating = series()
    del rating["reference"]

    assert kiloamperes(two_branches(rating)) == 14
    assert "rating-not-claimed" in codes(two_branches(rating), "warning")


@pytest.mark.parametrize(
    "main",
    [
        fuse("FU1", "S", "J", "110 A"),
        fuse("FU1", "S", "T", "60 A"),  # no class is substituted in a series rating
        breaker("FU1", "S", "100 kA"),
    ],
)
def test_it_needs_the_named_device(main: dict) -> None:
    assert kiloamperes(two_branches(series(), main=main)) == 14


def test_it_holds_at_its_voltage_only() -> None:
    assert kiloamperes(two_branches(series(voltage="240 V"))) == 14


@pytest.mark.parametrize(("current", "expected"), [("140 A", 65), ("140.1 A", 14)])
def test_motors_between_the_devices_may_contribute_one_percent(current: str, expected: int) -> None:
    """NFPA 70 (NEC) 240.86(C): 1 % of the lower 14 kA is 140 A; the lower device's own motor is not counted."""
    document = two_branches(series(), current, own="90 A")

    assert kiloamperes(document) == expected


def test_a_refused_combination_says_by_how_much() -> None:
    document = two_branches(series(), "280 A")

    assert "rating-not-claimed" in codes(document, "warning")
    assert "series-motors-unknown" not in codes(document)


def test_motors_of_unstated_current_are_warned_of() -> None:
    document = two_branches(series(), None)

    assert kiloamperes(document) == 65
    assert "series-motors-unknown" in codes(document, "warning")


def test_a_device_outside_the_panel_carries_a_series_rating_up_to_what_it_interrupts() -> None:
    upstream = {"device": "fuse", "fuse_class": "J", "ampere_rating": "100 A"}

    def outside(**more: object) -> dict:
        supply = {
            "id": "S",
            "voltage": "480Y/277 V",
            "system": "solidly_grounded_wye",
            "upstream_protection": {**upstream, **more},
        }
        lower = breaker("FC1", "S", "14 kA", series_ratings=[series()])
        return panel(lower, contactor("KM1", "FC1", "200 kA"), motor("MA1", "KM1"), supplies=[supply])

    assert kiloamperes(outside()) == 65
    assert kiloamperes(outside(interrupting_ratings=[{"current": "50 kA", "voltage": "600 V"}])) == 50
