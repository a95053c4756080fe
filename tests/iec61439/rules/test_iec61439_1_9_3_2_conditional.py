"""Conditional ratings and coordination (method W1, W2; IEC 61439-1 9.3.2, IEC 60947-4-1 8.2.5.1; from memory)."""

import pytest

from tests.iec61439.drawing import UNEARTHED
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import codes
from tests.iec61439.drawing import contactor
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import limits
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import rated
from tests.iec61439.drawing import short_time
from tests.iec61439.drawing import value
from tests.iec61439.drawing import worth


def starter(*ratings: Document, device: Document | None = None, **more: object) -> Document:
    return panel(device or fuse("F1"), contactor("K1", "F1", *ratings), motor("M1", "K1"), **more)


def test_the_best_rating_that_holds_counts() -> None:
    document = starter(behind_gg("10 kA"), behind_gg("50 kA"), behind_gg("80 kA", "32 A"))

    assert worth(document, "K1") == 50
    assert value(document, "K1").basis == "tested combination"
    assert "rating-not-claimed" in codes(document, "note")


def test_it_is_worth_no_more_than_the_device_breaks() -> None:
    document = starter(behind_gg("50 kA"), device=fuse("F1", current="33 kA"))

    assert worth(document, "K1") == 33
    assert limits(document) == ["F1"]


def test_behind_a_device_without_a_capacity_nothing_counts() -> None:
    document = starter(behind_gg("50 kA"), device=fuse("F1", current=None))

    assert errors(document) == {"F1": "no-breaking-capacity", "K1": "no-rating"}


@pytest.mark.parametrize(("voltage", "expected"), [("400 V", 50), ("690 V", 50), ("230 V", None)])
def test_its_voltage_must_fit(voltage: str, expected: float | None) -> None:
    assert worth(starter(behind_gg("50 kA", voltage=voltage)), "K1") == expected


def test_a_slash_voltage_fits_the_earthed_star_only() -> None:
    rating = behind_gg("50 kA", voltage="230/400 V")

    assert [c.code for c in rated(starter(rating)).conditions if c.code == "supply-grounding"]
    assert errors(starter(rating, supply=UNEARTHED)) == {"K1": "no-rating"}


def test_a_rating_by_ul_never_counts() -> None:
    ul = [{"current": "100 kA", "voltage": "600 V"}]
    document = panel(fuse("F1"), contactor("K1", "F1", short_circuit_ratings=ul), motor("M1", "K1"))

    assert errors(document) == {"K1": "no-rating"}
    assert "ratings by UL do not count" in value(document, "K1").because
    assert "state conditional_ratings" in value(document, "K1").because


TYPE_1, TYPE_2 = behind_gg("50 kA", coordination=1), behind_gg("20 kA", coordination=2)
ASKED = {"coordination": 2}


@pytest.mark.parametrize(
    ("ratings", "options", "expected"),
    [
        ([TYPE_1, TYPE_2], {}, 50),
        ([TYPE_1, TYPE_2], ASKED, 20),
        ([TYPE_1], ASKED, None),
        ([behind_gg("50 kA")], ASKED, None),  # unstated is no type 2
    ],
)
def test_the_option_asks_for_type_2(ratings: list[Document], options: Document, expected: float | None) -> None:
    assert worth(starter(*ratings, options=options), "K1") == expected


def test_type_1_is_noted_and_made_a_condition() -> None:
    document = starter(TYPE_1)

    assert "coordination-type-1" in codes(document, "note")
    assert "coordination-type-1" in {condition.code for condition in rated(document).conditions}
    assert "coordination-type-1" not in codes(starter(TYPE_2))


def test_an_overload_relay_is_coordinated_a_terminal_block_is_not() -> None:
    relay = part("overload_relay", "B1", "F1", conditional_ratings=[TYPE_1])
    block = part("terminal_block", "X1", "F1", conditional_ratings=[TYPE_1])
    document = panel(fuse("F1"), relay, block, motor("M1", "B1"), options=ASKED)

    assert worth(document, "B1") is None
    assert worth(document, "X1") == 50
    assert "coordination-type-1" not in codes(panel(fuse("F1"), block))


def test_the_option_takes_no_short_time_rating_of_a_starter() -> None:
    """That a current does no harm in its time is not the test of a type of coordination (lower reading)."""
    device = fuse("F1", clearing_time="10 ms")
    part_ = contactor("K1", "F1", short_time_ratings=[short_time("20 kA")])

    assert worth(panel(device, part_, motor("M1", "K1")), "K1") == 20
    assert errors(panel(device, part_, motor("M1", "K1"), options=ASKED)) == {"K1": "no-rating"}
