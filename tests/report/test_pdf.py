"""The calculation report on paper: every page numbered, every letter embedded, nothing outside the margins."""

import json
import re
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

import sccr
from sccr.report.as_pdf import as_pdf
from tests.bench.lines import line_of
from tests.drawing import breaker
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import withstands

ROOT = Path(__file__).parent.parent.parent
PANELS = sorted((ROOT / "fixtures/panels").glob("*.json"))
CATALOGUE = sccr.Catalogue.from_document(json.loads((ROOT / "fixtures/catalogue/grain.json").read_text("utf-8")))
POINTS_PER_MM = 72 / 25.4
SIZES = {"A4": (595.28, 841.89), "letter": (612.0, 792.0)}

Rated = tuple[sccr.Rating, dict[str, Any]]


def rated(document: dict[str, Any]) -> Rated:
    return sccr.rate(document, CATALOGUE), document


def fixture(name: str) -> Rated:
    return rated(json.loads((ROOT / f"fixtures/panels/{name}.json").read_text("utf-8")))


def pages(data: bytes) -> list[str]:
    """The text of each page."""
    document = pypdfium2.PdfDocument(data)
    try:
        found = []
        for page in document:
            text = page.get_textpage()
            found.append(text.get_text_bounded())
            text.close()
            page.close()
        return found
    finally:
        document.close()


def letters(data: bytes) -> Iterator[tuple[int, str, float, float, float, float]]:
    """Every letter: page, letter, left, bottom, right, top [pt]."""
    document = pypdfium2.PdfDocument(data)
    try:
        for number, page in enumerate(document, start=1):
            text = page.get_textpage()
            for place in range(text.count_chars()):
                letter = text.get_text_range(place, 1)
                if letter.strip():
                    yield number, letter, *text.get_charbox(place)
            text.close()
            page.close()
    finally:
        document.close()


def size(data: bytes) -> tuple[float, float]:
    document = pypdfium2.PdfDocument(data)
    try:
        found: tuple[float, float] = document.get_page_size(0)
        return found
    finally:
        document.close()


def run_together(text: str) -> str:
    return re.sub(r"\s+", "", text)


def hard() -> Rated:
    """A document with the longest and strangest names that are lawful."""
    names = ["-" + "W" * 63, "Ä" * 64, "<b>&\"'</b>", "盤" * 20, "Ω Ж ﬁ", "a  b"]
    document = panel(*(breaker(name) for name in names), part("switch", "sw", names, part="P" * 64))
    document["panel"] = {"designation": "D" * 500, "title": "<i>鋼" + "t" * 490, "builder": "b " * 249 + "b"}
    return sccr.rate(document), document


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("name", ["all_marked", "whole_line", "slash_rating_on_delta", "hard"])
def test_nothing_leaves_the_margins(name: str, paper: str) -> None:
    data = as_pdf(*(hard() if name == "hard" else fixture(name)), paper=paper)
    across, down = SIZES[paper]

    assert size(data) == pytest.approx((across, down), abs=0.1)
    margin = 14.5 * POINTS_PER_MM
    for page, letter, left, bottom, right, top in letters(data):
        assert left >= margin and right <= across - margin, (page, letter)
        assert bottom >= 9 * POINTS_PER_MM and top <= down - 9 * POINTS_PER_MM, (page, letter)


@pytest.mark.parametrize("paper", SIZES)
def test_every_page_says_which_it_is_and_of_what(paper: str) -> None:
    rating, document = fixture("whole_line")
    found = pages(as_pdf(rating, document, paper=paper))

    assert len(found) > 5
    for number, text in enumerate(found, start=1):
        assert f"page {number} of {len(found)}" in text
        assert rating.document_digest in text
        assert "LINE-15 · Intake, drying and loading line · revision C" in text


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.stem)
def test_every_word_of_the_rating_stands_on_the_paper(path: Path) -> None:
    rating, document = rated(json.loads(path.read_text("utf-8")))
    text = run_together("".join(pages(as_pdf(rating, document))))

    sentences = [c.because for c in rating.components] + [f.message for f in rating.findings]
    sentences += [c.text for c in rating.conditions] + [limit.reason for limit in rating.limited_by]
    unbroken = [sentence for sentence in sentences if len(sentence) < 40]  # what a page break cannot stand in
    assert unbroken
    for sentence in unbroken:
        assert run_together(sentence) in text
    assert all(component.id in text for component in rating.components)


def test_the_letters_are_embedded_and_no_other_font_is_named() -> None:
    data = as_pdf(*fixture("whole_line"))

    fonts = set(re.findall(rb"/BaseFont /([^\s/]+)", data))
    assert fonts and all(re.fullmatch(rb"[A-Z]{6}\+DejaVuSansCondensed(-Bold)?", font) for font in fonts)
    assert data.count(b"/FontFile2") == len(re.findall(rb"/Type /FontDescriptor", data))


def test_the_head_of_a_table_is_repeated_on_every_page_of_it() -> None:
    rating, document = rated(line_of(300))
    found = pages(as_pdf(rating, document))
    holding = [text for text in found if re.search(r"^MA\d+ motor branch exempt", text, re.MULTILINE)]

    assert len(holding) > 4
    assert all("component kind circuit value" in text for text in holding)


def test_a_row_that_no_page_can_hold_is_carried_on() -> None:
    document = line_of(2)
    names = [f"-XD{n:04d} terminal block with a name as long as it is common" for n in range(400)]
    document["components"] += [
        part("terminal_block", name, "XD0", short_circuit_ratings=withstands("100 kA")) for name in names
    ]
    rating, document = rated(document)
    circuit = next(c for c in rating.circuits if len(c.components) >= 400)
    text = run_together("".join(pages(as_pdf(rating, document))))

    listed = text.rindex(run_together(circuit.components[-1]))
    assert all(text[: listed + 100].count(run_together(name)) >= 4 for name in names)  # in each table and the circuit


def test_a_sign_that_the_letters_lack_is_spelled() -> None:
    text = run_together("".join(pages(as_pdf(*hard()))))

    assert text.count("<i><U+92FC>ttt") >= 2  # below the heading, and among the facts
    assert "<U+76E4>" * 20 in text
    assert "ΩЖ" in text


def test_the_same_rating_gives_the_same_bytes_in_every_thread() -> None:
    # letters that are put together from others: reportlab finds those through one place in the file of the font
    composed = ["".join(map(chr, range(first, first + 48))) for first in (0xC0, 0x100, 0x130, 0x160, 0x1CD)]
    rating, document = rated(panel(*map(breaker, composed)))
    alone = as_pdf(rating, document)
    interval = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)  # as many turns as there can be
    try:
        with ThreadPoolExecutor(8) as threads:
            together = list(threads.map(lambda _: as_pdf(rating, document), range(24)))
    finally:
        sys.setswitchinterval(interval)

    assert together == [alone] * 24


def test_the_pages_are_listed_by_their_title() -> None:
    document = pypdfium2.PdfDocument(as_pdf(*fixture("all_marked")))
    try:
        assert document.get_metadata_value("Title") == (
            "Short-circuit current rating: calculation: AUG-01 · Auger starter box · revision A"
        )
        assert document.get_metadata_value("Subject") == "18 kA rms symmetrical, 480Y/277 V maximum"
    finally:
        document.close()


def test_an_unknown_paper_and_a_foreign_rating_are_refused() -> None:
    rating, document = fixture("all_marked")

    with pytest.raises(ValueError, match="A5"):
        as_pdf(rating, document, paper="A5")
    with pytest.raises(ValueError, match="of another document"):
        as_pdf(rating, fixture("whole_line")[1])
