"""The demo panels: each rates as its note says, worked by hand."""

import json
from pathlib import Path
from typing import Any

import pytest
import yaml

import sccr
from sccr.panel.kinds import kinds

FIXTURES = Path(__file__).parent.parent / "fixtures"
PANELS = sorted((FIXTURES / "panels").glob("*.json"))


def expected(panel: Path) -> dict[str, Any]:
    """The expected rating at the head of a panel's note."""
    _, head, _ = panel.with_suffix(".md").read_text("utf-8").split("---", 2)
    found: dict[str, Any] = yaml.safe_load(head)
    return found


def catalogue(name: str) -> sccr.Catalogue | None:
    if name == "none":
        return None
    return sccr.Catalogue.from_document((FIXTURES / "catalogue" / name).read_bytes())


@pytest.mark.parametrize("panel", PANELS, ids=lambda path: path.stem)
def test_a_demo_panel_rates_as_worked_by_hand(panel: Path) -> None:
    note = expected(panel)
    rating = sccr.rate(panel.read_bytes(), catalogue(note["catalogue"]))

    assert rating.status == note["status"]
    if rating.rating is None:
        assert any(finding.severity == "error" for finding in rating.findings)
        return
    assert rating.rating.as_dict()["current"] == note["current"]
    assert rating.rating.voltage == note["voltage"]
    assert [limit.component for limit in rating.limited_by] == note["limited_by"]
    if "available" in note:
        comparison = rating.adequacy.supplies[0].as_dict()
        told = (comparison["current"], comparison["adequate"], comparison["exceeded"])
        assert told == (note["available"], note["adequate"], note["exceeded"])


def test_there_are_panels_enough_of_every_sort() -> None:
    sizes = {panel.stem: len(json.loads(panel.read_text("utf-8"))["components"]) for panel in PANELS}

    assert len(PANELS) >= 8
    assert max(sizes.values()) >= 60
    assert sum(expected(panel)["status"] == "withheld" for panel in PANELS) >= 1


def test_a_panel_with_a_computed_current_is_among_them() -> None:
    computed = [panel for panel in PANELS if "source" in json.loads(panel.read_text("utf-8"))["supplies"][0]]

    assert computed and all("available" in expected(panel) for panel in computed)


def test_the_catalogue_is_valid_large_enough_and_says_that_it_is_invented() -> None:
    document = json.loads((FIXTURES / "catalogue/grain.json").read_text("utf-8"))
    found = sccr.Catalogue.from_document(document)

    assert len(found.parts) >= 80
    assert "invented" in document["note"]
    assert {part["kind"] for part in document["parts"]} <= set(kinds())


def test_no_demo_panel_warns_of_a_part_that_was_not_looked_up() -> None:
    for panel in PANELS:
        rating = sccr.rate(panel.read_bytes(), catalogue(expected(panel)["catalogue"]))
        assert "part-not-looked-up" not in {finding.code for finding in rating.findings}, panel.stem
