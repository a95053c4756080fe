"""A panel whose order names no target is lifted to the current that is available: computed, where it has a source."""

import json
from pathlib import Path

import pytest

import sccr
from sccr.upgrade.planning import plan

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"


def test_the_target_is_the_computed_current() -> None:
    document = json.loads((FIXTURES / "panels/computed_source.json").read_text("utf-8"))
    catalogue = sccr.Catalogue.from_document((FIXTURES / "catalogue/grain.json").read_bytes())
    del document["target"]

    assert plan(document, catalogue).target == 9_527_000
    del document["supplies"][0]["source"]
    with pytest.raises(ValueError, match="name a target"):
        plan(document, catalogue)


def test_a_device_that_x_over_r_asks_too_much_of_is_changed() -> None:
    """-FC2 interrupts 10 kA, the panel is rated 10 kA, and 9.527 kA available at X/R 2.15 counts as 10.09 kA."""
    document = json.loads((FIXTURES / "panels/computed_source.json").read_text("utf-8"))
    breaker = {"kind": "circuit_breaker", "poles": 3, "ampere_rating": "40 A", "voltage_rating": "480 V"}
    weak, strong = (
        {**breaker, "part": name, "price": price, "interrupting_ratings": [{"voltage": "480 V", "current": current}]}
        for name, price, current in (("B-10", "5", "10 kA"), ("B-14", "50", "14 kA"))
    )
    parts = sccr.Catalogue.from_document({"format": "catalogue/1", "parts": [weak, strong]})
    found = plan(document, parts)

    assert [(change.component, change.after) for change in found.best.changes] == [("-FC2", "B-14")]
    assert found.best.rating.adequacy.supplies[0].adequate
    lacking = plan(document, sccr.Catalogue.from_document({"format": "catalogue/1", "parts": [weak]}))
    assert [block.component for block in lacking.blocked] == ["-FC2"]
    assert "X/R 2.15 is above 1.73" in lacking.blocked[0].reason
    assert plan(document, parts, 9_000_000).best.changes == ()
