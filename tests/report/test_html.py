"""The calculation report as a page: complete, its own only, and safe whatever the document holds."""

import json
import re
from base64 import b64encode
from dataclasses import dataclass
from hashlib import sha256
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

import sccr
from sccr.report.as_html import as_html
from sccr.report.as_html import content_security_policy
from sccr.report.cautions import CAUTIONS
from sccr.report.diagram.symbols import Symbols
from tests.bench.lines import line_of
from tests.drawing import breaker
from tests.drawing import panel
from tests.drawing import part

ROOT = Path(__file__).parent.parent.parent
PANELS = sorted((ROOT / "fixtures/panels").glob("*.json"))
CATALOGUE = sccr.Catalogue.from_document(json.loads((ROOT / "fixtures/catalogue/grain.json").read_text("utf-8")))
EMPTY = {"meta", "col", "br"}


@dataclass(frozen=True)
class Kept:
    """A record as a store keeps it."""

    id: str = "01JD0M8TT9CQ8Z5B2W7E4R6KNV"
    asked_by: str = "the <order> desk"
    asked_at: str = "2026-04-08T09:30:00.000000+00:00"


class Page(HTMLParser):
    """Reads a page strictly: what is opened is closed, in its order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.headings: list[str] = []
        self.rows: list[list[str]] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in EMPTY:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")
        if tag == "h2":
            self.headings.append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "h2":
            self.headings[-1] += data
        elif self.open and self.open[-1] in ("td", "th"):
            self.rows[-1][-1] += data


def rated(document: dict[str, Any]) -> tuple[sccr.Rating, dict[str, Any]]:
    return sccr.rate(document, CATALOGUE), document


def fixture(name: str) -> tuple[sccr.Rating, dict[str, Any]]:
    return rated(json.loads((ROOT / f"fixtures/panels/{name}.json").read_text("utf-8")))


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.stem)
def test_every_number_of_the_rating_stands_on_the_page(path: Path) -> None:
    rating, document = rated(json.loads(path.read_text("utf-8")))
    page = Page(as_html(rating, document))

    columns = {tuple(row) for row in page.rows}
    for step in rating.derivation:
        assert any(
            row[:3] == (str(step.number), step.clause, step.component or "–") for row in columns if len(row) == 6
        )
    for component in rating.components:
        assert any(row[0] == component.id and row[5] == component.because for row in columns if len(row) == 7)
    for circuit in rating.circuits:
        assert any(row[0] == circuit.id and row[4] == ", ".join(circuit.components) for row in columns if len(row) == 5)
    for finding in rating.findings:
        assert (finding.severity, finding.component or "–", finding.clause, finding.message) in columns


def test_the_sections_stand_in_the_order_of_an_inspector() -> None:
    page = Page(as_html(*fixture("whole_line"), record=Kept()))

    assert page.headings == [
        "Job",
        "Result",
        "One-line diagram",
        "Components",
        "Derivation",
        "What the rating becomes as each limit is lifted",
        "Circuits",
        "Conditions of the rating",
        "Findings",
        "Method",
        "Cautions",
        "Signatures",
    ]


def test_what_is_not_stated_is_said_to_be_missing() -> None:
    text = as_html(*rated(panel(breaker("FC1"))))

    assert "<dt>Builder</dt><dd>not stated</dd>" in text
    assert "the available fault current is not stated" in text.lower()


def test_one_phase_is_told_as_one() -> None:
    text = as_html(*fixture("whole_line"))

    assert "1 phase, 3 wires" in text and "3 phases, 4 wires" in text


def test_a_withheld_panel_has_no_rating_and_its_errors_on_top() -> None:
    rating, document = fixture("slash_rating_on_delta")
    text = as_html(rating, document)

    assert '<p class="headline none"><span class="status">WITHHELD</span>no rating may be marked</p>' in text
    assert text.index(rating.findings[0].message) < text.index("One-line diagram</h2>")


def test_what_limits_stands_out() -> None:
    text = as_html(*fixture("all_marked"))

    assert re.findall(r'<tr class="strong"><td>([^<]*)', text) == ["-QA1"]


def test_digests_cautions_and_record_are_printed_in_full() -> None:
    rating, document = fixture("whole_line")
    text = unescape(as_html(rating, document, record=Kept()))

    for digest in (rating.document_digest, rating.method.tables_digest, rating.method.catalogue_digest):
        assert digest is not None and digest in text
    assert all(caution in text for caution in CAUTIONS)
    assert all(words in text for words in (Kept.id, Kept.asked_by, Kept.asked_at))


def test_an_option_that_is_not_at_its_default_is_named() -> None:
    document = panel(breaker("FC1"), options={"transformer_impedance_credit": False})

    assert "<dd>transformer impedance credit</dd>" in as_html(*rated(document))
    assert "<dt>Options not at their default</dt><dd>none</dd>" in as_html(*rated(panel(breaker("FC1"))))


def test_a_catalogue_part_says_what_the_document_adds() -> None:
    page = Page(as_html(*fixture("whole_line")))
    stated = {row[0]: row[6] for row in page.rows if len(row) == 7}

    assert stated["-FC1"] == "catalogue"
    assert stated["-FC4"] == "catalogue; document: poles"
    assert stated["-MA2"] == "document"


def test_markup_in_a_document_is_text_everywhere() -> None:
    hostile = "<script>x</script>\"'><img src=x onerror=y>"
    document = panel(breaker(hostile), part("switch", "</style>", hostile, part="{{ 7*7 }}", standards=[hostile]))
    document["panel"] |= {"title": hostile, "builder": hostile, "designation": "<b>"}
    document["supplies"][0]["upstream_protection"] = {"device": "circuit_breaker", "part": "<i>"}
    page = Page(as_html(sccr.rate(document), document))

    tags = {tag for tag, _ in page.tags}
    assert not tags & {"script", "img", "b", "i", "link", "iframe", "object"}
    names = {name for _, attributes in page.tags for name in attributes}
    assert not {name for name in names if name.startswith("on") or name in ("style", "href", "src")}
    assert any(row[0] == hostile for row in page.rows)


def test_the_policy_allows_the_style_of_the_page_and_nothing_else() -> None:
    text = as_html(*fixture("all_marked"))
    style = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)

    assert len(style) == 1
    digest = b64encode(sha256(style[0].encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in content_security_policy()
    assert content_security_policy().startswith("default-src 'none';")
    assert content_security_policy() in unescape(text)
    assert "http" not in re.sub(r'xmlns="http://www.w3.org/2000/svg"|http-equiv', "", text)


def test_the_diagram_is_folded_for_paper_with_the_symbols_asked_for() -> None:
    rating, document = rated(line_of(300))
    ansi, iec = as_html(rating, document), as_html(rating, document, symbols=Symbols.IEC)

    assert ansi.count("<svg ") == 15
    assert "<figcaption>Sheet 15 of 15</figcaption>" in ansi
    assert ansi != iec


def test_a_rating_of_another_document_is_refused() -> None:
    rating, _ = fixture("all_marked")
    _, other = fixture("two_weakest_links")

    with pytest.raises(ValueError, match="of another document"):
        as_html(rating, other)


def test_the_same_rating_gives_the_same_page() -> None:
    assert as_html(*fixture("whole_line")) == as_html(*fixture("whole_line"))
