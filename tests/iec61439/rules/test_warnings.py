"""What changes no rating but must be seen."""

from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import codes
from tests.iec61439.drawing import contactor
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import rated


def test_every_rating_says_that_its_clauses_are_from_memory() -> None:
    assert codes(panel(breaker("Q1"))) == {"clauses-from-memory"}


def test_a_rating_that_is_not_claimed_is_told() -> None:
    ratings = [behind_gg("50 kA"), behind_gg("80 kA", "32 A")]
    document = panel(fuse("F1"), contactor("K1", "F1", *ratings), motor("M1", "K1"))
    (told,) = [finding for finding in rated(document).findings if finding.code == "rating-not-claimed"]

    assert told.component == "K1"
    assert "80 kA at 400 V with fuse gG, max 32 A" in told.message


def test_a_part_number_without_a_catalogue_is_only_a_label() -> None:
    assert "part-not-looked-up" in codes(panel(breaker("Q1"), part("bus_bar", "W1", "Q1", part="W-9")), "warning")
    assert "part-not-looked-up" not in codes(panel(breaker("Q1", part="B-1")))


def test_upstream_protection_without_a_capacity_is_warned_of() -> None:
    supply = {"upstream_protection": {"device": "circuit_breaker", "ampere_rating": "63 A"}}

    assert "upstream-not-relied-on" in codes(panel(breaker("Q1"), supply=supply), "warning")
