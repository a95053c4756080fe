"""Marking: what must hold in the field (method, sections 7 and 9; F8; settled 15)."""

from tests.drawing import THREE_WIRE
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import rated
from tests.drawing import withstands

SUPPLY = {"id": "S", "voltage": "480Y/277 V", "system": "solidly_grounded_wye"}
UPSTREAM = {"device": "fuse", "fuse_class": "J", "ampere_rating": "30 A"}


def texts(document: dict, code: str) -> list[str]:
    return [condition.text for condition in rated(document).conditions if condition.code == code]


def test_a_slash_rating_asks_for_the_grounding_of_the_supply() -> None:
    assert texts(panel(breaker("FC1", "S", "14 kA", "480Y/277 V")), "supply-grounding") == [
        "supply S to be a solidly grounded wye, 480Y/277 V maximum"
    ]
    assert texts(panel(breaker("FC1")), "supply-grounding") == []
    assert (
        len(texts(panel(breaker("FC1", "S", "10 kA", "240/120 V", poles=2), supply=THREE_WIRE), "supply-grounding"))
        == 1
    )


def test_upstream_protection_is_a_condition_only_where_it_is_relied_on() -> None:
    supplies = [{**SUPPLY, "upstream_protection": UPSTREAM}]
    needed = "supply S to be protected by class J fuse, 30 A maximum"

    tested = contactor("KM1", "S", short_circuit_ratings=[behind_fuse("65 kA", ["J"], "30 A")])
    assert texts(panel(tested, motor("MA1", "KM1"), supplies=supplies), "upstream-protection") == [needed]
    as_branch = panel(contactor("KM1", "S", "10 kA"), motor("MA1", "KM1"), supplies=supplies)
    assert texts(as_branch, "upstream-protection") == [needed]
    idle = panel(breaker("FC1"), contactor("KM1", "FC1", "65 kA"), motor("MA1", "KM1"), supplies=supplies)
    assert texts(idle, "upstream-protection") == []


def test_an_upstream_breaker_is_named_by_its_part() -> None:
    upstream = {
        "device": "circuit_breaker",
        "part": "GB-3P-30",
        "ampere_rating": "30 A",
        "interrupting_ratings": [{"current": "65 kA", "voltage": "600 V"}],
    }
    rating = {
        "current": "100 kA",
        "voltage": "600 V",
        "protected_by": {"device": "circuit_breaker", "parts": ["GB-3P-30"]},
    }
    document = panel(
        contactor("KM1", "S", short_circuit_ratings=[rating]),
        motor("MA1", "KM1"),
        supplies=[{**SUPPLY, "upstream_protection": upstream}],
    )

    assert rated(document).rating.current == 65_000_000  # no more than the breaker interrupts
    assert texts(document, "upstream-protection") == [
        "supply S to be protected by circuit breaker GB-3P-30, 30 A maximum"
    ]


def test_a_branch_that_rests_on_the_upstream_device_is_worth_what_that_interrupts() -> None:
    upstream = {**UPSTREAM, "interrupting_ratings": [{"current": "22 kA", "voltage": "600 V"}]}
    document = panel(
        contactor("KM1", "S", "65 kA"), motor("MA1", "KM1"), supplies=[{**SUPPLY, "upstream_protection": upstream}]
    )

    assert rated(document).rating.current == 22_000_000
    assert "22 kA" in rated(document).limited_by[0].reason


def test_fuses_that_the_rating_rests_on_are_named() -> None:
    holder = part("fuseholder", "XF1", "S", fuse_class="J", short_circuit_ratings=withstands("200 kA"))
    document = panel(
        holder,
        fuse("FU1", "XF1", "J", "60 A"),
        breaker("FC1", "FU1"),
        contactor("KM1", "FC1", "10 kA"),
        motor("M", "KM1"),
    )

    assert texts(document, "fuses") == ["FU1 to be fitted with class J fuses, 60 A maximum"]
