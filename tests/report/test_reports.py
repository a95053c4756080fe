"""A rating for its readers."""

import json
from pathlib import Path

import pytest

import sccr
from sccr.report.as_json import as_json
from sccr.report.as_markdown import as_markdown
from sccr.report.as_text import as_text
from sccr.report.as_text import table_of
from sccr.report.cautions import CAUTIONS
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part

PANELS = Path(__file__).parent.parent.parent / "fixtures/panels"
CREDITED = (PANELS / "current_limiting_feeder_fuse.json").read_bytes()
WITHHELD = (PANELS / "slash_rating_on_delta.json").read_bytes()


def rating(document: bytes = CREDITED) -> sccr.Rating:
    return sccr.rate(document)


def test_text_says_it_all_in_order() -> None:
    text = as_text(rating(), width=110)
    places = [
        text.index(words)
        for words in (
            "RATED  100 kA rms symmetrical, 480 V maximum",
            "available at MAINS: 42 kA, covered, margin 58 kA",
            "What holds it down",
            "-QA3",
            "What the rating becomes",
            "Circuits",
            "Conditions of the rating",
            CAUTIONS[0],
        )
    ]

    assert places == sorted(places)
    assert "Derivation" not in text
    assert "Derivation" in as_text(rating(), derivation="full")


def test_text_of_a_withheld_panel_has_no_rating_and_says_why() -> None:
    text = as_text(rating(WITHHELD), width=110)

    assert text.splitlines()[1] == "WITHHELD  no rating may be marked"
    assert "error  -FC1" in text
    assert "not covered: there is no rating" in text or "is not stated" in text


def test_text_keeps_to_its_width_and_has_no_control_characters() -> None:
    for width in (60, 80, 110, 200):
        lines = as_text(rating(), width=width, derivation="full").splitlines()
        assert max(map(len, lines)) <= width
        assert not any(ord(c) < 32 for line in lines for c in line)


def test_colour_is_only_added_where_it_is_asked_for() -> None:
    assert "\x1b[" in as_text(rating(), colour=True)
    assert "\x1b[" not in as_text(rating())


def test_markup_in_an_id_is_text() -> None:
    document = panel(breaker("[red]F[/red]"), part("contactor", "a|b*c", "[red]F[/red]"), motor("MA1", "a|b*c"))

    assert "[red]F[/red]" in as_text(sccr.rate(document))
    assert "a\\|b\\*c" in as_markdown(sccr.rate(document))


def test_several_ratings_make_a_table() -> None:
    text = table_of([("one.json", rating()), ("two.json", rating(WITHHELD))], width=140)

    assert [line.split()[0] for line in text.splitlines()[2:4]] == ["one.json", "two.json"]
    assert "withheld" in text and "100 kA" in text


def test_markdown_holds_the_whole_derivation() -> None:
    found = rating()
    text = as_markdown(found)

    assert text.startswith("# BIN")
    rows = [line for line in text.split("## Derivation")[1].splitlines() if line.startswith("| ")]
    assert len(rows) == len(found.derivation) + 2  # heading and rule
    assert all(caution in text for caution in CAUTIONS)


@pytest.mark.parametrize("indent", [None, 2])
def test_json_is_the_contract(indent: int | None) -> None:
    assert json.loads(as_json(rating(), indent)) == rating().as_dict()


def test_a_needless_rating_is_said_to_be_needless() -> None:
    document = panel(part("power_supply", "TB1", "S", circuit="control"))

    assert "no rating needed" in as_text(sccr.rate(document))


def test_a_short_margin_is_said_aloud() -> None:
    supply = {"voltage": "480 V", "system": "ungrounded_delta", "available_fault_current": "22 kA"}
    document = panel(breaker("FC1"), contactor("KM1", "FC1", "18 kA"), supply=supply)

    assert "NOT covered, short by 4 kA" in as_text(sccr.rate(document))
