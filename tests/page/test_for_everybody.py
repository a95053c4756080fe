"""Whoever uses it, on whatever: keyboard alone, axe, 360 pixels to 4K, light, dark, paper; and nobody else's code."""

import gzip
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requests
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Browser
from playwright.sync_api import Page
from playwright.sync_api import expect

from .conftest import demo_document
from .conftest import document_of
from .conftest import shot
from .conftest import until

Demo = Callable[[str], Page]
#: What it finds nothing wrong with is not gone into: that takes it longer than the rest.
WCAG = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],
}
RUN_AXE = "([inside, options]) => axe.run(inside ?? document, options).then((found) => found.violations)"
#: The words of what does not fit into what holds it.
CUT = """() => [...document.querySelectorAll("button, label, h2, h3")]
  .filter((each) => each.offsetParent && !each.matches(".unseen") && getComputedStyle(each).display !== "inline")
  .filter((each) => each.scrollWidth > each.clientWidth + 1).map((each) => each.textContent)"""
#: What was loaded: its address and its size on the way [bytes].
LOADED = """() => ["resource", "navigation"].flatMap((kind) => performance.getEntriesByType(kind))
  .map((each) => [each.name, each.encodedBodySize])"""
#: The words at the bar that do not end inside it.
OUTSIDE = """() => { const bar = document.querySelector("svg.scale").getBoundingClientRect();
  const inside = (box) => box.left > bar.left - 1 && box.right < bar.right + 1;
  return [...document.querySelectorAll(".scale .want text")]
    .filter((each) => !inside(each.getBoundingClientRect())).map((each) => each.textContent); }"""
WIDTHS = {"360": (360, 740), "1440": (1440, 900), "3840": (3840, 2160)}


def faults(page: Page, inside: str | None = None) -> list[str]:
    """What axe finds, each with the first place of it. The browser puts it into the page, past its policy, once."""
    if page.evaluate("typeof axe === 'undefined'"):
        page.evaluate(AXE_SCRIPT)
    found = page.evaluate(RUN_AXE, [inside, WCAG])
    return [f"{each['id']}: {each['help']} {each['nodes'][0]['html'][:200]}" for each in found]


@pytest.fixture
def lenient(browser: Browser, service: str) -> Any:
    """A page whose policy lets axe in; what it is otherwise is the same."""
    context = browser.new_context(base_url=service, viewport={"width": 1440, "height": 900}, bypass_csp=True)
    page = context.new_page()
    page.goto("/")
    yield page
    context.close()


def test_axe_finds_nothing_at_the_start_and_in_every_tab(lenient: Page) -> None:
    page = lenient
    expect(page.locator("[data-demo]").first).to_be_visible()
    assert faults(page) == []
    page.click("[data-demo=unmarked_contactor]")
    expect(page.locator("#view [data-component]").first).to_be_visible()
    expect(page.locator(".figure")).to_be_visible()
    assert faults(page) == []
    for tab in ("parts", "panel", "steps", "plan", "changes"):
        page.click(f"#tab-{tab}")
        assert faults(page, "#panels") == [], tab
    page.click("#tab-parts")
    page.click("[data-row='-QA1']")
    page.click("summary:has-text('More fields')")
    page.click("summary:has-text('Swap for a catalogue part')")
    expect(page.locator("#candidates li").first).to_be_visible()
    page.locator("[data-pointer='/components/1/ampere_rating'] input").fill("nine")
    expect(page.locator(".mistakes")).to_be_visible()
    assert faults(page) == []


def test_axe_finds_nothing_in_the_windows_and_in_the_dark(lenient: Page) -> None:
    page = lenient
    page.emulate_media(color_scheme="dark")
    page.click("[data-demo=all_marked]")
    expect(page.locator(".figure")).to_be_visible()
    expect(page.locator("#view [data-component]").first).to_be_visible()
    assert faults(page) == []
    for opener, ready in (
        ("#open", "dialog [data-demo]"),
        ("#keep", "#keep-now"),
        ("#orders", "#found"),
        ("#records", "#found"),
        ("#key", "#key-text"),
        ("#nameplate", ".preview img"),
    ):
        page.click(opener)
        expect(page.locator(ready).first).to_be_attached()
        assert faults(page, "dialog") == [], opener
        page.click("#close")


def test_the_keyboard_alone_is_enough(page: Page) -> None:
    """Opens a demo, walks to what limits, swaps its part, takes it back: without a mouse."""

    def reach(selector: str) -> None:
        for _ in range(150):
            if page.evaluate("selector => document.activeElement.matches(selector)", selector):
                return
            page.keyboard.press("Tab")
        raise AssertionError(f"{selector} is never reached")

    reach("[data-demo=whole_line]")
    page.keyboard.press("Enter")
    expect(page.locator(".figure")).to_have_text("10 kA")
    expect(page.locator("#view [data-component]").first).to_be_visible()
    reach("[data-name='-BC5']")
    page.keyboard.press("Enter")
    reach("#view")
    reach("#view [data-component]")
    for key in ("ArrowDown", "ArrowDown", "ArrowDown", "ArrowRight", "ArrowRight", "ArrowRight"):
        page.keyboard.press(key)
    assert page.evaluate("document.activeElement.dataset.component") == "-FC5"
    page.keyboard.press("Enter")
    expect(page.locator("#component h3")).to_contain_text("-FC5")
    reach(".swap summary")
    page.keyboard.press("Enter")
    expect(page.locator("[data-part='OAT-3P-60H']")).to_be_visible()
    reach("[data-part='OAT-3P-60H']")
    page.keyboard.press("Enter")
    expect(page.locator(".figure")).to_have_text("14 kA")
    page.keyboard.press("Control+z")
    expect(page.locator(".figure")).to_have_text("10 kA")
    page.focus("#tab-parts")
    page.keyboard.press("ArrowRight")
    expect(page.locator("#panel-panel")).to_be_visible()


#: From the supply of the largest demo to what holds it down.
ON_THE_WAY = ("MAINS", "-FC1", "-WC1", "-FC5", "-QA5", "-BC5")


@pytest.mark.parametrize("width", WIDTHS)
def test_every_width_holds_the_page(browser: Browser, service: str, width: str) -> None:
    across, down = WIDTHS[width]
    context = browser.new_context(base_url=service, viewport={"width": across, "height": down})
    page = context.new_page()
    page.goto("/")
    expect(page.locator("[data-demo]").first).to_be_visible()
    shot(page, f"start-{width}")
    page.click("[data-demo=whole_line]")
    expect(page.locator("#view [data-component]").first).to_be_visible()
    assert page.evaluate("scrollY") == 0, "the rating is what is seen first"
    if width != "360":  # there the words below the rating tell it
        for name in ON_THE_WAY:
            expect(page.locator(f"#view [data-component='{name}']")).to_be_in_viewport(ratio=1)
    expect(page.locator(".holds .route")).to_have_text("on the way " + " › ".join(ON_THE_WAY))
    assert page.evaluate(OUTSIDE) == []
    for tab in ("limits", "parts", "panel", "steps", "plan", "changes"):
        page.click(f"#tab-{tab}")
        assert page.evaluate("document.documentElement.scrollWidth") <= across, tab
        assert page.evaluate(CUT) == [], "words that do not fit into what holds them"
        if width != "3840" or tab == "limits":
            shot(page, f"{tab}-{width}", whole=tab != "steps")  # which are many
    page.click("#tab-parts")
    page.click("[data-row='-BC5']")
    page.click("summary:has-text('More fields')")
    assert page.evaluate("document.documentElement.scrollWidth") <= across
    assert page.evaluate(CUT) == []
    shot(page, f"component-{width}")
    if width == "1440":
        page.emulate_media(color_scheme="dark")
        shot(page, "component-dark")
    context.close()


def test_it_prints_what_is_to_be_read_and_nothing_to_press(demo: Demo, tmp_path: Path) -> None:
    import pypdfium2

    page = demo("whole_line")
    page.emulate_media(media="print")
    for hidden in ("nav", "#tools", "#minimap", "[role=tablist]"):
        assert page.locator(hidden).is_hidden()
    printed = page.pdf(format="A4")
    document = pypdfium2.PdfDocument(printed)
    text = " ".join(sheet.get_textpage().get_text_range() for sheet in document)
    for words in (
        "10 kA",
        "rms symmetrical",
        "As each limit is lifted",
        "How it came about",
        "LIMITS",
        "manufacturer's responsibility",
    ):
        assert words in text, words
    assert "Keep in order" not in text
    for number in range(1, 6):
        assert f"strip {number} of 5" in text
    before_steps = text[: text.index("As each limit is lifted")]
    for component in json.loads(demo_document("whole_line").read_bytes())["components"]:
        assert component["id"] in before_steps, component["id"]
    assert page.locator("#strips > *").count() == 0  # it was there for the printer alone
    for number, sheet in enumerate(document, start=1):
        sheet.render(scale=1.5).to_pil().save(_folder() / f"print-{number}.png")


def test_a_narrow_diagram_prints_in_one_piece(demo: Demo) -> None:
    import pypdfium2

    document = pypdfium2.PdfDocument(demo("all_marked").pdf(format="A4"))
    text = " ".join(sheet.get_textpage().get_text_range() for sheet in document)
    assert "-QA1" in text
    assert "strip 1" not in text


def _folder() -> Path:
    from .conftest import SHOTS

    SHOTS.mkdir(parents=True, exist_ok=True)
    return SHOTS


def test_the_page_is_small_and_soon_there(browser: Browser, service: str) -> None:
    context = browser.new_context(base_url=service)
    page = context.new_page()
    page.goto("/")
    expect(page.locator("[data-demo]").first).to_be_visible()
    loaded = page.evaluate(LOADED)
    assert sum(size for _, size in loaded) < 400_000
    assert all(name.startswith(service) for name, _ in loaded), "no other host"
    first = page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
    print(f"{sum(size for _, size in loaded)} bytes, first paint after {first:.0f} ms")
    assert first < 1000
    context.close()


def test_files_are_kept_for_good_and_the_page_is_asked_for_again(service: str) -> None:
    first = requests.get(service, timeout=10)
    again = requests.get(service, timeout=10, headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304
    name = first.text.split('<script type="module" src="')[1].split('"')[0]
    file = requests.get(service + name, timeout=10)
    assert "immutable" in file.headers["Cache-Control"]
    assert file.headers["Content-Encoding"] == "gzip"
    plain = requests.get(service + name, timeout=10, headers={"Accept-Encoding": "identity"})
    assert "Content-Encoding" not in plain.headers
    assert plain.content == file.content
    assert gzip.compress(plain.content, 9, mtime=0) == requests.get(service + name, timeout=10, stream=True).raw.read()
    assert requests.get(service + "/page/0000000000000000/main.js", timeout=10).status_code == 404


def test_the_policy_lets_no_other_code_in(browser: Browser, service: str) -> None:
    policy = requests.get(service, timeout=10).headers["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy
    context = browser.new_context(base_url=service)
    page = context.new_page()
    page.goto("/")
    for attack in (
        "document.body.innerHTML = '<p>hit</p>'",
        "document.createElement('img').setAttribute('onerror', 'window.hit = 1')",
        "trustedTypes.createPolicy('another', {})",
        "document.createElement('script').text = 'window.hit = 1'",
    ):
        refused = (
            f"() => {{ try {{ {attack}; return false; }} catch (error) {{ return error instanceof TypeError; }} }}"
        )
        assert page.evaluate(refused), attack
    context.close()


def test_what_a_document_says_stays_text(page: Page) -> None:
    evil = "<img src=x onerror=window.hit=1>\"'</title><script>window.hit=1</script>"
    document = {
        "format": "panel/1",
        "panel": {"designation": evil, "title": evil, "order": evil},
        "supplies": [
            {
                "id": "<b>S</b>",
                "voltage": "480Y/277 V",
                "system": "solidly_grounded_wye",
                "available_fault_current": "9 kA",
            }
        ],
        "components": [
            {
                "id": evil[:60],
                "kind": "circuit_breaker",
                "fed_from": "<b>S</b>",
                "poles": 3,
                "interrupting_ratings": [{"voltage": "480Y/277 V", "current": "10 kA"}],
            },
            {"id": "</text><script>", "kind": "motor", "fed_from": evil[:60]},
        ],
    }
    page.click("summary:has-text('Paste a document')")
    page.fill("#paste", json.dumps(document))
    page.click("#open-pasted")
    expect(page.locator(".figure")).to_have_text("10 kA")
    until(lambda: page.locator("#view [data-component]").count() == 3)
    for tab in ("limits", "parts", "panel", "steps", "changes"):
        page.click(f"#tab-{tab}")
    assert page.locator("main img, #view script, main b:text-is('S')").count() == 0
    assert page.evaluate("window.hit") is None
    assert document_of(page) == document


def test_from_the_first_look_to_the_nameplate(demo: Demo, tmp_path: Path) -> None:
    """What a new user does: sees what limits, swaps the part, puts the plan in, downloads the nameplate."""
    page = demo("whole_line")
    page.click(".holds [data-name='-BC5']")
    page.click("#tab-parts")
    expect(page.locator("#component h3")).to_contain_text("-BC5")
    page.click("summary:has-text('Swap for a catalogue part')")
    page.click("[data-part='SOY-40H']")
    page.click("#tab-plan")
    page.click("#plan-find")
    page.click("[data-plan=best]", timeout=30_000)
    expect(page.locator(".figure")).to_have_text("14 kA")
    expect(page.locator(".enough .short")).to_have_count(0)
    page.click("#nameplate")
    with page.expect_download() as saved:
        page.click("[data-format=png]")
    saved.value.save_as(tmp_path / "plate.png")
    assert (tmp_path / "plate.png").read_bytes().startswith(b"\x89PNG")
