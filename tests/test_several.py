"""One panel by several editions: each rating is that of its edition alone, and the table says where they differ."""

import json
from pathlib import Path
from typing import Any

import pytest
import yaml

import sccr
from sccr.errors import InvalidDocument
from sccr.iec61439.words import FROM_MEMORY
from sccr.result import NONE
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import motor
from tests.drawing import panel
from tests.golden.kept import kept

UL = "UL 508A:2018"
OLD = "UL 508A:2013"
CSA = "CSA C22.2 No. 286:2017"
IEC = "IEC 61439-2:2020"
WORLDS = sorted((Path(__file__).parent.parent / "fixtures" / "worlds").glob("*.json"))
ICU = [{"voltage": "480 V", "current": "50 kA", "kind": "icu"}]
#: A breaker for all three, and a contactor that is marked for none of them.
STARTER = panel(
    breaker("-FC1", breaking_capacities=ICU, standards=["UL 489", "CSA C22.2 No. 5", "IEC 60947-2"]),
    contactor("-QA1", "-FC1", horsepower="5 hp"),
    motor("-MA1", "-QA1"),
)
#: Table SB4.1: a contactor of up to 50 hp is assumed to be good for 5 kA.
MARKED = "5 kA rms symmetrical, 480 V maximum"


def expected(path: Path) -> dict[str, Any]:
    """The expected ratings at the head of a panel's note."""
    _, head, _ = path.with_suffix(".md").read_text("utf-8").split("---", 2)
    found: dict[str, Any] = yaml.safe_load(head)["editions"]
    return found


@pytest.mark.parametrize("path", WORLDS, ids=lambda path: path.stem)
def test_a_panel_for_three_markets_rates_as_worked_by_hand(path: Path) -> None:
    found = sccr.rate_editions(path.read_bytes())
    by_hand = expected(path)
    assert [rating.method.edition for rating in found.ratings] == list(by_hand)
    for rating in found.ratings:
        note = by_hand[rating.method.edition]
        assert rating.status == note["status"]
        assert rating.rating is not None and rating.rating.text == note["text"]
        assert [limit.component for limit in rating.limited_by] == note["limited_by"]
        assert rating.adequacy.as_dict()["adequate"] is note["adequate"]


def test_the_panels_of_each_market_have_the_same_components() -> None:
    documents = [json.loads(path.read_text("utf-8")) for path in WORLDS]
    assert len(documents) == 4
    assert all(document["components"] == documents[0]["components"] for document in documents)
    assert len({document["supplies"][0]["voltage"] for document in documents}) == 4


def test_each_rating_is_what_its_edition_alone_gives() -> None:
    found = sccr.rate_editions({**STARTER, "editions": [IEC, UL, CSA]})
    assert [rating.method.edition for rating in found.ratings] == [IEC, UL, CSA]  # in the order asked
    for rating in found.ratings:
        alone = sccr.rate({**STARTER, "edition": rating.method.edition}).as_dict()
        assert rating.as_dict() == {**alone, "document_digest": rating.document_digest}
    assert len({rating.document_digest for rating in found.ratings}) == 1


def test_a_document_of_one_edition_has_one_rating() -> None:
    assert [r.method.edition for r in sccr.rate_editions(STARTER).ratings] == [UL]
    assert [r.method.edition for r in sccr.rate_editions({**STARTER, "edition": IEC}).ratings] == [IEC]
    assert [r.method.edition for r in sccr.rate_editions({**STARTER, "editions": [CSA]}).ratings] == [CSA]


def test_editions_asked_for_stand_before_those_of_the_document() -> None:
    named = {**STARTER, "editions": [UL, CSA]}
    found = sccr.rate_editions(named, editions=[IEC, OLD])
    assert [rating.method.edition for rating in found.ratings] == [IEC, OLD]
    assert found.ratings[0].document_digest == sccr.rate_editions(named).ratings[0].document_digest


def test_editions_that_cannot_be_used_are_all_told_at_once() -> None:
    with pytest.raises(InvalidDocument) as refused:
        sccr.rate_editions(STARTER, editions=[UL, "IEC 61439-2:1999", UL])
    assert [(each.pointer, each.code) for each in refused.value.problems] == [
        ("/editions/1", "unknown-edition"),
        ("/editions/2", "duplicate-edition"),
    ]
    assert all(known in refused.value.problems[0].detail for known in (UL, CSA, IEC))


def test_one_rating_of_several_editions_is_refused_with_the_remedy() -> None:
    with pytest.raises(InvalidDocument) as refused:
        sccr.rate({**STARTER, "editions": [UL, IEC]})
    problem = refused.value.problems[0]
    assert (problem.pointer, problem.code) == ("/editions", "several-editions")
    assert "rate_editions" in problem.detail and "write edition" in problem.detail


def test_side_by_side() -> None:
    found = sccr.rate_editions({**STARTER, "editions": [UL, CSA, IEC]}).side_by_side()
    assert found.editions == (UL, CSA, IEC)
    by_ul, by_csa, by_iec = found.panel
    assert (by_ul.status, by_ul.rating, by_ul.limited_by) == ("rated", MARKED, ("-QA1",))
    assert (by_csa.rating, by_csa.limited_by) == (by_ul.rating, by_ul.limited_by)
    assert (by_iec.status, by_iec.rating, [each.component for each in by_iec.errors]) == ("withheld", None, ["-QA1"])
    fc1, qa1, ma1 = found.components
    assert [fc1.values[each].current for each in (UL, CSA, IEC)] == [65_000_000, 65_000_000, 50_000_000]
    assert [qa1.values[each].current for each in (UL, CSA, IEC)] == [5_000_000, 5_000_000, None]
    assert all(value.exempt and value.current is None for value in ma1.values.values())
    assert [row.differs for row in found.components] == [True, True, False]


def test_why_they_differ_is_told_of_those_that_differ_from_ul_508a_alone() -> None:
    found = sccr.rate_editions({**STARTER, "editions": [UL, CSA, IEC]}).side_by_side()
    assert {(each.component, each.edition) for each in found.why} == {("-FC1", IEC), ("-QA1", IEC)}
    without = sccr.rate_editions({**STARTER, "editions": [CSA, IEC]}).side_by_side()
    assert {(each.component, each.edition) for each in without.why} >= {("-FC1", CSA), ("-FC1", IEC)}
    sentences = [each.difference for each in (*found.why, *without.why)]
    assert all(sentence and "UL 508A:" not in sentence and FROM_MEMORY not in sentence for sentence in sentences)


def test_editions_that_make_the_same_of_a_panel_differ_in_nothing() -> None:
    found = sccr.rate_editions({**STARTER, "editions": [UL, OLD]}).side_by_side()
    assert not any(row.differs for row in found.components)
    assert found.why == ()


def test_as_json() -> None:
    found = sccr.rate_editions({**STARTER, "editions": [UL, IEC]})
    told = found.as_dict(NONE)
    assert list(told) == ["format", "panel", "document_digest", "ratings", "side_by_side"]
    assert told["format"] == "ratings/1"
    assert told["ratings"] == [rating.as_dict(NONE) for rating in found.ratings]
    row = told["side_by_side"]["components"][1]
    assert row["values"][UL]["current"] == "5 kA" and row["values"][UL]["current_amperes"] == 5000
    assert row["values"][IEC]["current"] is None and row["values"][IEC]["current_amperes"] is None
    assert json.loads(json.dumps(told)) == told


def test_every_kept_panel_is_rated_by_all_of_them() -> None:
    """Of every fourth drawn panel: no edition stumbles, and the rows are of the same components."""
    for line in kept()[::4]:
        found = sccr.rate_editions(line["document"], editions=[UL, CSA, IEC])
        rows = found.side_by_side().components
        assert [row.id for row in rows] == [each["id"] for each in line["document"]["components"]]
        for row in rows:
            for rating in found.ratings:
                value = row.values[rating.method.edition]
                assert not (value.exempt and value.current is not None), (line["name"], row.id)
