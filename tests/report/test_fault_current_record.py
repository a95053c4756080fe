"""The dated record of a computed fault current, in every form of the report (NEC 409.22(B), 670.5)."""

import copy
import json
import re
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import Any

import pytest

import sccr
from sccr.report.as_html import as_html
from sccr.report.as_markdown import as_markdown
from sccr.report.as_pdf import as_pdf
from sccr.report.as_text import as_text
from sccr.report.calculation.fault_current import NOT_DATED
from tests.report.test_pdf import POINTS_PER_MM
from tests.report.test_pdf import SIZES
from tests.report.test_pdf import letters
from tests.report.test_pdf import pages
from tests.report.test_pdf import run_together

ROOT = Path(__file__).parent.parent.parent
PIT: dict[str, Any] = json.loads((ROOT / "fixtures/panels/computed_source.json").read_text("utf-8"))
PLAIN: dict[str, Any] = json.loads((ROOT / "fixtures/panels/unmarked_contactor.json").read_text("utf-8"))
HEADING = "Available fault current at MAINS: record of the calculation"


@dataclass(frozen=True)
class Kept:
    """A record as a store keeps it."""

    id: str = "01JD0M8TT9CQ8Z5B2W7E4R6KNV"
    asked_by: str = "the order desk"
    asked_at: str = "2026-04-08T09:30:00.000000+00:00"


def pit(**changed: Any) -> dict[str, Any]:
    """The panel of the receiving pit, its supply changed; None leaves a field out."""
    document = copy.deepcopy(PIT)
    supply = {**document["supplies"][0], **changed}
    document["supplies"][0] = {name: value for name, value in supply.items() if value is not None}
    return document


def long_chain() -> dict[str, Any]:
    """As many elements as are lawful with long names, in several states."""
    source = copy.deepcopy(PIT["supplies"][0]["source"])
    run = source["elements"][2]
    source["title"] = "T" * 250 + " " + "盤" * 100
    source["elements"] = [source["elements"][0], *({**run, "bus": f"<{n}> " + "b" * 400} for n in range(12))]
    source["alternates"] = [{"utility": source["utility"], "elements": source["elements"][:3]}]
    return pit(source=source, available_fault_current="9 kA")


def flat(html: str) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", html))


def record_of(rating: sccr.Rating) -> dict[str, Any]:
    available = rating.supplies[0].available
    assert available is not None and available.record is not None
    return dict(available.record)


@pytest.mark.parametrize("paper", SIZES)
def test_it_stands_on_a_page_of_its_own_with_all_that_is_to_be_filed(paper: str) -> None:
    rating, document = sccr.rate(PIT), PIT
    found = pages(as_pdf(rating, document, paper=paper))
    page = next(number for number, text in enumerate(found) if HEADING in text)
    text = run_together(found[page])

    assert page == len(found) - 1 and "Signature" in found[page - 1]  # the whole of it, behind the calculation
    record = record_of(rating)
    told = [*record["basis"], record["validity"], record["text"], record["date"], record["document_digest"]]
    told += [line["statement"] for line in record["derivation"]] + [each["message"] for each in record["findings"]]
    told += [node["maximum"][0]["rms_symmetrical"]["current"] for node in record["nodes"]]
    told += ["PIT-16 · Receiving pit conveyor panel · revision A", "Calculated by", "Millpond Lane"]
    assert [sentence for sentence in told if run_together(sentence) not in text] == []


def test_every_form_holds_the_same() -> None:
    rating = sccr.rate(PIT)
    record = record_of(rating)
    html, markdown = flat(as_html(rating, PIT)), as_markdown(rating)

    assert markdown.count(f"## {HEADING}") == html.count(HEADING) == 1
    for line in record["derivation"]:
        assert line["statement"] in html and line["statement"] in markdown
    for node in record["nodes"]:
        for value in node["maximum"]:
            assert value["rms_symmetrical"]["current"] in html and value["rms_symmetrical"]["current"] in markdown
    assert "| **supply terminals, behind conductor 2** |" in markdown
    assert '<section class="own-page">' in as_html(rating, PIT)
    assert "available at MAINS: 9.527 kA (computed), NOT covered: for its X/R, -FC2" in as_text(rating)


def test_a_panel_without_a_source_has_none() -> None:
    rating = sccr.rate(PLAIN)
    for text in (as_html(rating, PLAIN), as_markdown(rating), "".join(pages(as_pdf(rating, PLAIN)))):
        assert "record of the calculation" not in text


@pytest.mark.parametrize(
    ("changed", "record", "date"),
    [
        ({}, None, "2026-04-02"),
        ({}, Kept(), "2026-04-02"),
        ({"available_fault_current_date": None}, Kept(), "2026-04-08, when the rating was asked for"),
        ({"available_fault_current_date": None}, None, NOT_DATED),
        ({"available_fault_current": "9 kA"}, Kept(), "2026-04-08, when the rating was asked for"),
    ],
)
def test_it_is_dated(changed: dict[str, Any], record: Kept | None, date: str) -> None:
    document = pit(**changed)
    html = flat(as_html(sccr.rate(document), document, record=record))
    assert re.search(rf"Date of the calculation\s+{re.escape(date)}", html)


def test_a_current_that_is_stated_beside_it_is_told() -> None:
    document = pit(available_fault_current="12 kA")
    assert "12 kA; the higher counts, 12 kA" in flat(as_html(sccr.rate(document), document))


@pytest.mark.parametrize("paper", SIZES)
def test_a_long_chain_keeps_to_the_margins(paper: str) -> None:
    document = long_chain()
    data = as_pdf(sccr.rate(document), document, paper=paper)
    across, down = SIZES[paper]
    margin = 14.5 * POINTS_PER_MM

    for page, letter, left, bottom, right, top in letters(data):
        assert left >= margin and right <= across - margin, (page, letter)
        assert bottom >= 9 * POINTS_PER_MM and top <= down - 9 * POINTS_PER_MM, (page, letter)
    assert "alternate 1" in "".join(pages(data))


def test_markup_in_a_name_is_text() -> None:
    html = as_html(sccr.rate(long_chain()), long_chain())
    assert "<0>" not in html and "&lt;0&gt; b" in html
