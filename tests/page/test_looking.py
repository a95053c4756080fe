"""Looking at a panel: the diagram, the rating at a glance, the derivation beside it."""

import json
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page
from playwright.sync_api import expect

from tests.bench.lines import line_of

from .conftest import demo_document
from .conftest import document_of
from .conftest import shot
from .conftest import until

#: Where each tick stands [% of the width].
PLACES = """() => Object.fromEntries([...document.querySelectorAll("[data-tick]")].map((each) =>
  [each.dataset.tick, each.querySelector("svg").x.baseVal.valueInSpecifiedUnits]))"""
Demo = Callable[[str], Page]
Rated = Callable[[dict[str, Any]], dict[str, Any]]


def test_the_first_thing_seen_is_what_holds_the_panel_down(demo: Demo, rated: Rated) -> None:
    page = demo("whole_line")
    rating = rated(json.loads(demo_document("whole_line").read_bytes()))
    assert document_of(page) == json.loads(demo_document("whole_line").read_bytes())
    expect(page.locator(".figure")).to_have_text(rating["rating"]["current"])
    expect(page.locator(".headline p")).to_contain_text("rms symmetrical, 480Y/277 V maximum")
    first = rating["limited_by"][0]
    expect(page.locator(".holds")).to_contain_text(f"{first['component']} overload relay")
    expect(page.locator(".holds")).to_contain_text(first["reason"])
    expect(page.locator(".enough")).to_contain_text("covers the 9.5 kA available at MAINS, 500 A to spare")
    expect(page.locator(".enough")).to_contain_text("does not cover the order's target of 14 kA, short by 4 kA")
    expect(page.locator("[data-component='-BC5']")).to_be_in_viewport()
    expect(page.locator("footer")).to_contain_text("manufacturer's responsibility")


def test_the_path_that_limits_is_told_by_form_and_word_and_not_by_colour(demo: Demo) -> None:
    page = demo("unmarked_contactor")
    limits = page.locator("#view .limits")
    expect(limits).to_have_attribute("data-component", "-QA1")
    expect(limits).to_contain_text("LIMITS")
    widths = page.eval_on_selector_all(
        "#view .path polyline", "all => all.map(each => +each.getAttribute('stroke-width'))"
    )
    thin = page.eval_on_selector_all(
        "#view g:not(.path) > polyline", "all => all.map(e => +e.getAttribute('stroke-width'))"
    )
    assert max(widths) >= 3 * max(thin)
    used = page.eval_on_selector_all(
        "#view *", "all => [...new Set(all.flatMap(e => [e.getAttribute('stroke'), e.getAttribute('fill')]))]"
    )
    assert set(used) <= {None, "none", "#000000", "#ffffff", "#555555"}, "grey only"


def test_symbols_of_either_standard(demo: Demo) -> None:
    page = demo("all_marked")
    before = page.locator("[data-component='-FC1']").inner_html()
    page.select_option("#symbols", "iec")
    until(lambda: page.locator("[data-component='-FC1']").inner_html() != before)
    page.reload()
    expect(page.locator("#symbols")).to_have_value("iec")


def test_a_branch_folds_and_unfolds(demo: Demo) -> None:
    page = demo("whole_line")
    page.click("[data-component='-FC5']")
    page.click("#fold")
    expect(page.locator("[data-component='-QA5']")).to_have_count(0)
    folded = page.locator("[data-component='-FC5']")
    expect(folded).to_contain_text("+ 3 folded")
    expect(folded).to_contain_text("LIMITS: -BC5")
    page.click("#unfold")
    expect(page.locator("[data-component='-BC5']")).to_have_count(1)
    page.click("#fold-others")
    expect(page.locator("[data-component='-MA6']")).to_have_count(0)
    expect(page.locator("[data-component='-BC5']")).to_have_count(1)


def test_zoom_pan_and_keyboard_in_the_diagram(demo: Demo) -> None:
    page = demo("whole_line")
    view = page.locator("#view")
    size = "document.querySelector('#view svg').getBoundingClientRect().width"
    before = page.evaluate(size)
    page.click("[aria-label='zoom in']")
    assert page.evaluate(size) > before * 1.2
    page.click("[aria-label='show the whole diagram']")
    assert page.evaluate(size) <= page.evaluate("document.querySelector('#view').clientWidth")
    for _ in range(6):
        page.click("[aria-label='zoom in']")
    page.evaluate("document.querySelector('#view').scrollTo(400, 0)")
    box = view.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 300, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + 400, box["y"] + 60, steps=4)
    page.mouse.up()
    assert page.evaluate("document.querySelector('#view').scrollLeft") == 300
    page.focus("#view [tabindex='0']")
    for key, reached in (("ArrowDown", "-FC1"), ("ArrowDown", "-WC1"), ("ArrowDown", "-FA1"), ("ArrowRight", "-FC2")):
        page.keyboard.press(key)
        assert page.evaluate("document.activeElement.dataset.component") == reached
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    expect(page.locator("#component h3")).to_contain_text("-WC1")


def test_two_fingers_change_the_scale_of_the_diagram(demo: Demo) -> None:
    page = demo("whole_line")
    size = "document.querySelector('#view svg').getBoundingClientRect().width"
    before = page.evaluate(size)
    box = page.locator("#view").bounding_box()
    assert box is not None
    touch = page.context.new_cdp_session(page)
    for kind, apart in (("touchStart", 40), ("touchMove", 60), ("touchMove", 80)):
        points = [{"x": box["x"] + 200 + side * apart, "y": box["y"] + 150} for side in (-1, 1)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    until(lambda: page.evaluate(size) > before * 1.9)
    assert page.evaluate(size) < before * 2.1
    assert page.evaluate("visualViewport.scale") == 1


def test_three_hundred_components_have_a_map(page: Page) -> None:
    page.click("summary:has-text('Paste a document')")
    page.fill("#paste", json.dumps(line_of(300)))
    page.click("#open-pasted")
    expect(page.locator("#view [data-component]")).to_have_count(301)
    frames = page.locator("#minimap svg rect:not(.frame)")
    expect(frames).to_have_count(301)
    page.evaluate("document.querySelector('#view').scrollTo(0, 0)")
    shot(page, "three-hundred-1440")
    page.locator("#minimap").click(position={"x": 160, "y": 15})
    until(lambda: page.evaluate("document.querySelector('#view').scrollLeft") > 1000)
    until(lambda: page.evaluate("+document.querySelector('#minimap .frame').getAttribute('x')") > 0)


def test_the_bar_has_a_tick_for_every_component_with_a_value(demo: Demo, rated: Rated) -> None:
    page = demo("whole_line")
    rating = rated(document_of(page))
    worth = {each["id"] for each in rating["components"] if each["value"]}
    ticks = page.eval_on_selector_all("[data-tick]", "all => all.map(each => each.dataset.tick)")
    assert set(ticks) == worth
    places = page.evaluate(PLACES)
    values = {
        each["id"]: (each["after_credit"] or each["value"])["current_amperes"]
        for each in rating["components"]
        if each["value"]
    }
    decade = places["-FC1"] - places["-BC5"]  # 100 kA and 10 kA
    assert values["-FC1"] == 10 * values["-BC5"]
    assert abs(decade - _decade(places, values)) < 0.1, "as far apart as any other decade: a logarithmic scale"
    page.click("[data-tick='-QA33']")
    expect(page.locator("[data-component='-QA33']")).to_have_class("component kind-contactor chosen")


def _decade(places: dict[str, float], values: dict[str, int]) -> float:
    """The width of a decade, by what stands at 35 and at 200 kA."""
    from math import log10

    low = next(name for name, value in values.items() if value == 35000)
    high = next(name for name, value in values.items() if value == 200000)
    return (places[high] - places[low]) / log10(200 / 35)


def test_the_staircase_is_that_of_the_service(demo: Demo, rated: Rated) -> None:
    page = demo("unmarked_contactor")
    rating = rated(document_of(page))
    levels = page.locator(".staircase .level").all_inner_texts()
    assert levels == [rating["rating"]["current"], *(each["rating"]["current"] for each in rating["next_limits"])]
    expect(page.locator(".staircase > li").nth(1)).to_contain_text(
        rating["next_limits"][0]["limited_by"][0]["component"]
    )


def test_steps_and_diagram_show_each_other(demo: Demo) -> None:
    page = demo("current_limiting_feeder_fuse")
    page.click("#tab-steps")
    step = page.locator("[data-step]").last
    name = step.get_attribute("data-step")
    step.click()
    expect(page.locator(f"#view [data-component='{name}']")).to_have_attribute("aria-pressed", "true")
    other = page.locator("#view .limits").first.get_attribute("data-component")
    page.click(f"#view [data-component='{other}']")
    expect(page.locator("#tab-steps")).to_have_attribute("aria-selected", "true")
    expect(page.locator(f"[data-step='{other}']").first).to_have_attribute("aria-pressed", "true")


def test_a_withheld_panel_says_why(demo: Demo) -> None:
    page = demo("slash_rating_on_delta")
    expect(page.locator(".figure")).to_have_text("No rating")
    expect(page.locator(".holds")).to_contain_text("-FC1")
    expect(page.locator("#view")).to_contain_text("WITHHOLDS")


def test_a_rating_that_is_high_enough_may_still_not_do(demo: Demo, rated: Rated) -> None:
    """The available current is covered in amperes, but a breaker was tested at a lower X/R: the device is named."""
    page = demo("computed_source")
    comparison = rated(document_of(page))["adequacy"]["supplies"][0]
    assert (comparison["adequate"], comparison["margin_amperes"], comparison["exceeded"]) == (False, 473, ["-FC2"])
    short = page.locator(".enough .short")
    expect(short).to_have_text(
        "✕does not cover the 9.527 kA (computed) available at MAINS: at the X/R there, -FC2 would have to interrupt"
        " more than marked"
    )
    expect(page.locator(".scale .want.short text")).to_have_text("✕ available 9.527 kA, not at its X/R")
    short.locator("[data-name='-FC2']").click()
    expect(page.locator("#view [data-component='-FC2']")).to_have_attribute("aria-pressed", "true")
    page.click("#tab-panel")
    expect(page.locator("[data-computed=MAINS]")).to_contain_text("9.527 kA (ohmic method)")


def test_what_is_newly_shown_is_seen_from_its_top_beside_the_diagram(demo: Demo) -> None:
    page = demo("whole_line")
    page.click("#tab-steps")
    page.locator("[data-step]").last.scroll_into_view_if_needed()
    assert page.evaluate("scrollY") > 1000
    expect(page.locator("#view [data-component='-BC5']")).to_be_in_viewport(ratio=1)
    page.click("#tab-limits")  # the tabs stay in sight, too
    expect(page.locator("#panel-limits h3").first).to_be_in_viewport(ratio=1)
    page.click("#tab-parts")
    page.locator("[data-kind]").last.scroll_into_view_if_needed()
    page.click("#view [data-component='-QA5']")
    expect(page.locator("#component h3")).to_be_in_viewport(ratio=1)
