"""A panel rated by several editions: the table side by side, and the choice of editions."""

import json
from collections.abc import Callable

from playwright.sync_api import Browser
from playwright.sync_api import Page
from playwright.sync_api import expect

from api.page import demos

from .conftest import document_of
from .conftest import shot
from .test_for_everybody import CUT
from .test_for_everybody import faults

UL = "UL 508A:2018"
CSA = "CSA C22.2 No. 286:2017"
IEC = "IEC 61439-2:2020"
Demo = Callable[[str], Page]


def test_a_panel_for_three_markets_is_shown_side_by_side(demo: Demo) -> None:
    page = demo("three_worlds")
    rows = page.locator("#side-by-side table").first.locator("tbody tr")
    expect(rows).to_have_count(3)
    for row, told in enumerate((("UL 508A:", "18 kA", "-QA1"), ("CSA", "18 kA", "-QA1"), ("IEC", "Icc 15 kA", "-WB1"))):
        for words in told:
            expect(rows.nth(row)).to_contain_text(words)
    bar = page.locator("#side-by-side table").last.locator("tr", has_text="-WB1").locator("td b")
    expect(bar).to_have_text(["25 kA", "25 kA", "15 kA"])
    expect(page.locator(".headline")).to_contain_text(f"by {UL}")
    page.click("#side-by-side summary")
    expect(page.locator("#side-by-side details")).to_contain_text("short-time withstand currents do not count")
    page.click("#side-by-side [data-name='-WB1'] >> nth=0")
    expect(page.locator("[data-component='-WB1']")).to_be_visible()
    assert faults(page, "#panels") == []
    shot(page, "editions-1440")


def test_the_editions_are_chosen_from_those_that_the_service_has(demo: Demo) -> None:
    page = demo("elevator_ohio")
    expect(page.locator("#side-by-side")).to_have_count(0)
    page.click("#tab-panel")
    boxes = page.locator("#editions input")
    expect(boxes).to_have_count(4)
    expect(page.get_by_label(UL)).to_be_checked()
    page.get_by_label(IEC).check()
    assert document_of(page)["editions"] == [UL, IEC]
    assert "edition" not in document_of(page)
    page.click("#tab-limits")
    expect(page.locator("#side-by-side")).to_contain_text("IEC 61439-2")
    expect(page.locator("#side-by-side")).to_contain_text("No rating")  # nothing of the IEC is marked for 480 V
    page.click("#tab-panel")
    page.get_by_label(UL).uncheck()
    assert document_of(page)["edition"] == IEC
    page.get_by_label(IEC).uncheck()
    assert {"edition", "editions"}.isdisjoint(document_of(page))
    expect(page.get_by_label(UL)).to_be_checked()  # what a document without an edition is rated by
    expect(page.locator(".figure")).to_have_text("18 kA")
    shot(page, "editions-chosen")


def test_no_word_is_cut_on_a_telephone(browser: Browser, service: str) -> None:
    context = browser.new_context(base_url=service, viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto("/")
    page.click("[data-demo=three_worlds]")
    expect(page.locator("#side-by-side")).to_be_visible()
    page.click("#side-by-side summary")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.evaluate(CUT) == []
    assert page.evaluate(OVERFLOWING) == []
    page.locator("#side-by-side").scroll_into_view_if_needed()
    shot(page, "editions-360")
    page.click("#tab-panel")
    expect(page.locator("#editions label").first).to_be_visible()
    assert page.evaluate(CUT) == []
    shot(page, "editions-chosen-360")
    context.close()


#: The cells and boxes around the tables whose words do not fit into them.
OVERFLOWING = """() => [...document.querySelectorAll("#side-by-side :is(th, td, .wide)")]
  .filter((each) => each.scrollWidth > each.clientWidth + 1).map((each) => each.textContent)"""


def test_the_demo_is_the_document_that_ships() -> None:
    shown = {each["name"]: each["document"] for each in demos.panels()}
    assert shown["three_worlds"]["editions"] == [UL, CSA, IEC]
    same = json.dumps(shown["three_worlds"]["components"])
    for name in ("elevator_ohio", "elevator_ontario", "elevator_rotterdam"):
        assert json.dumps(shown[name]["components"]) == same
