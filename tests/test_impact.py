"""What a change makes of a panel that was rated before: every outcome, and what is told of it."""

import json
from collections.abc import Mapping
from copy import deepcopy
from typing import Any

import pytest

from sccr import Catalogue
from sccr import rate
from sccr.impact import Impact
from sccr.impact import Outcome
from sccr.impact import impact
from sccr.impact import unknown

BREAKER: dict[str, Any] = {
    "part": "RYE-3P-15",
    "kind": "circuit_breaker",
    "poles": 3,
    "ampere_rating": "15 A",
    "interrupting_ratings": [{"voltage": "480 V", "current": "22 kA"}],
}
CONTACTOR: dict[str, Any] = {
    "part": "MILLET-C9",
    "kind": "contactor",
    "horsepower": "5 hp",
    "short_circuit_ratings": [{"voltage": "480 V", "current": "18 kA"}],
}
PANEL: dict[str, Any] = {
    "format": "panel/1",
    "panel": {"designation": "ELV-02"},
    "supplies": [
        {
            "id": "MAINS",
            "voltage": "480Y/277 V",
            "system": "solidly_grounded_wye",
            "available_fault_current": "12 kA",
        }
    ],
    "components": [
        {"id": "-FC1", "part": "RYE-3P-15", "fed_from": "MAINS"},
        {"id": "-QA1", "part": "MILLET-C9", "fed_from": "-FC1"},
        {"id": "-MA1", "kind": "motor", "fed_from": "-QA1", "location": "field"},
    ],
}


def catalogue(*parts: Mapping[str, Any]) -> Catalogue:
    return Catalogue.from_document({"format": "catalogue/1", "parts": list(parts)})


def marked(current: str, voltage: str = "480 V") -> dict[str, Any]:
    return {**CONTACTOR, "short_circuit_ratings": [{"voltage": voltage, "current": current}]}


def stored(document: Mapping[str, Any] = PANEL, *parts: Mapping[str, Any]) -> Any:
    """A rating as a store gives it back."""
    return json.loads(json.dumps(rate(document, catalogue(*(parts or (BREAKER, CONTACTOR)))).as_dict()))


def held(*parts: Mapping[str, Any], document: Mapping[str, Any] = PANEL) -> Impact:
    return impact(document, stored(document), catalogue(*parts))


def test_what_is_lowered_and_still_covers_what_is_available() -> None:
    found = held(BREAKER, marked("14 kA"))
    assert found.outcome is Outcome.LOWERED
    assert (found.before.rating, found.after.rating) == (stored()["rating"], rate_with(marked("14 kA"))["rating"])
    assert (found.before.adequate, found.after.adequate) == (True, True)
    [supply] = found.supplies
    assert supply.as_dict() == {
        "supply": "MAINS",
        "available": {"current": "12 kA", "current_amperes": 12_000},
        "adequate_before": True,
        "adequate_after": True,
        "margin_amperes": 2_000,
    }
    [limit] = found.limited_by
    assert (limit.component, limit.part, limit.clause) == ("-QA1", "MILLET-C9", "SB4.2")
    assert limit.reason == "marked 14 kA at 480 V"
    assert found.why[0].startswith("the rating goes from 18 kA")
    assert not any("catalogue" in reason for reason in found.why)


def rate_with(*parts: Mapping[str, Any]) -> Any:
    return rate(PANEL, catalogue(BREAKER, *parts)).as_dict()


def test_what_no_longer_covers_what_is_available() -> None:
    found = held(BREAKER, marked("11.999 kA"))
    assert found.outcome is Outcome.BELOW_AVAILABLE
    assert found.outcome.fails
    assert (found.margin, found.supplies[0].before, found.supplies[0].after) == (-1_000, True, False)


def test_equality_is_not_below() -> None:
    assert held(BREAKER, marked("12 kA")).outcome is Outcome.LOWERED


def test_what_did_not_cover_it_before_is_lowered_and_not_newly_below() -> None:
    document = deepcopy(PANEL)
    document["supplies"][0]["available_fault_current"] = "20 kA"
    found = held(BREAKER, marked("14 kA"), document=document)
    assert (found.outcome, found.before.adequate, found.after.adequate) == (Outcome.LOWERED, False, False)


def test_without_an_available_current_nothing_is_adequate_or_not() -> None:
    document = deepcopy(PANEL)
    del document["supplies"][0]["available_fault_current"]
    found = held(BREAKER, marked("1 kA"), document=document)
    assert (found.outcome, found.supplies, found.margin) == (Outcome.LOWERED, (), None)
    assert (found.before.adequate, found.after.adequate) == (None, None)


def test_what_is_raised() -> None:
    assert held(BREAKER, marked("20 kA")).outcome is Outcome.RAISED


def test_what_stays() -> None:
    found = held({**BREAKER, "description": "branch breaker"}, CONTACTOR)
    assert found.outcome is Outcome.UNCHANGED
    assert (found.limited_by, found.why) == ((), ())


def test_the_same_current_at_another_voltage_is_a_change() -> None:
    found = held(BREAKER, marked("18 kA", "480Y/277 V"))
    assert found.outcome is Outcome.OTHERWISE
    assert (found.before.rating or {})["voltage"] != (found.after.rating or {})["voltage"]


def test_a_higher_current_at_another_voltage_is_not_simply_more() -> None:
    assert held(BREAKER, marked("20 kA", "480Y/277 V")).outcome is Outcome.OTHERWISE


def test_what_must_hold_in_the_field_is_part_of_the_marking() -> None:
    result = stored()
    result["conditions"] = [{"code": "upstream", "component": None, "text": "a fuse of class J upstream"}]
    assert impact(PANEL, result, catalogue(BREAKER, CONTACTOR)).outcome is Outcome.OTHERWISE


def test_what_may_no_longer_be_marked() -> None:
    found = held({**BREAKER, "interrupting_ratings": [{"voltage": "240 V", "current": "22 kA"}]}, CONTACTOR)
    assert found.outcome is Outcome.WITHHELD
    assert (found.after.status, found.after.rating, found.after.adequate) == ("withheld", None, False)
    assert ("-FC1", "RYE-3P-15") in [(limit.component, limit.part) for limit in found.limited_by]


def test_what_was_withheld_and_may_be_marked_again() -> None:
    low = {**BREAKER, "interrupting_ratings": [{"voltage": "240 V", "current": "22 kA"}]}
    result = stored(PANEL, low, CONTACTOR)
    assert result["rating"] is None
    assert impact(PANEL, result, catalogue(BREAKER, CONTACTOR)).outcome is Outcome.RAISED
    assert impact(PANEL, result, catalogue(low, marked("14 kA"))).outcome is Outcome.UNCHANGED


def test_a_part_that_is_gone_is_named_and_no_other_is_proposed_for_it() -> None:
    found = held(BREAKER, {**CONTACTOR, "part": "MILLET-C8"})
    assert found.outcome is Outcome.REFUSED
    assert (found.after.status, found.after.rating, found.after.adequate) == ("refused", None, False)
    [limit] = found.limited_by
    assert (limit.component, limit.part, limit.clause) == ("-QA1", "MILLET-C9", None)
    assert limit.reason == "the part MILLET-C9 is not in the catalogue"
    assert found.why == ("-QA1: the part MILLET-C9 is not in the catalogue",)
    [supply] = found.supplies
    assert (supply.available, supply.before, supply.after, supply.margin) == (12_000_000, True, False, None)


def test_a_part_of_another_kind_is_refused_with_the_reason() -> None:
    document = deepcopy(PANEL)
    document["components"][1]["kind"] = "contactor"
    found = held(BREAKER, {**CONTACTOR, "kind": "overload_relay"}, document=document)
    assert found.outcome is Outcome.REFUSED
    assert found.limited_by[0].component == "-QA1"
    assert "overload_relay" in found.limited_by[0].reason


def test_a_part_of_the_protection_upstream_is_named_by_its_supply() -> None:
    fuse = {"part": "PEA-J-100", "kind": "fuse", "fuse_class": "J", "ampere_rating": "100 A"}
    document = deepcopy(PANEL)
    document["supplies"][0]["upstream_protection"] = {"device": "fuse", "part": "PEA-J-100"}
    result = stored(document, BREAKER, CONTACTOR, fuse)
    found = impact(document, result, catalogue(BREAKER, CONTACTOR))
    assert (found.outcome, found.limited_by[0].component) == (Outcome.REFUSED, "MAINS")
    assert found.limited_by[0].part == "PEA-J-100"


def test_an_edition_that_is_known_no_more_is_refused() -> None:
    document = {**deepcopy(PANEL), "edition": "UL 508A:1998"}
    found = impact(document, stored(), catalogue(BREAKER, CONTACTOR))
    assert (found.outcome, found.limited_by[0].component) == (Outcome.REFUSED, None)


def test_another_engine_is_told_among_the_reasons() -> None:
    result = stored()
    result["method"]["engine_version"] = "0.0.1"
    found = impact(PANEL, result, catalogue(BREAKER, marked("14 kA")))
    assert any(reason.startswith("engine_version goes from 0.0.1") for reason in found.why)


def test_what_is_not_known_is_told_with_the_marking_of_before() -> None:
    found = unknown(stored(), "it took too long")
    assert (found.outcome, found.outcome.fails, found.why) == (Outcome.UNKNOWN, True, ("it took too long",))
    assert (found.before.rating, found.after.rating) == (stored()["rating"], None)


@pytest.mark.parametrize("outcome", Outcome)
def test_the_outcomes_come_with_the_worst_first(outcome: Outcome) -> None:
    """A reader stops somewhere: what asks for somebody to go there stands before what does not."""
    order = list(Outcome)
    assert outcome.fails is (order.index(outcome) < order.index(Outcome.LOWERED))
