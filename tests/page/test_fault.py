"""The fault current of a supply, worked out from its source, and the run as a curve."""

from collections.abc import Callable
from typing import Any

import requests
from playwright.sync_api import Page
from playwright.sync_api import expect

from .conftest import document_of

Demo = Callable[[str], Page]

SITE = {
    "utility": {"available": "500 MVA", "voltage": "13.8 kV", "x_over_r": "10"},
    "transformer": {
        "kva": "1000 kVA",
        "primary": "13.8 kV",
        "secondary": "480Y/277 V",
        "impedance": "5.75 %",
        "x_over_r": "6",
    },
    "conductor": {"size": "500 kcmil", "material": "copper", "conduit": "steel", "sets": "2", "length": "164 ft"},
}


def fill(page: Page, site: dict[str, dict[str, str]]) -> None:
    page.click("#tab-panel")
    page.click("summary:has-text('Work it out')")
    for part, fields in site.items():
        for name, text in fields.items():
            page.fill(f"[data-fault='{part}/{name}'] input", text)


def test_the_source_fills_the_available_current_and_draws_its_run(demo: Demo, service: str) -> None:
    page = demo("all_marked")
    fill(page, SITE)
    page.click("[data-work=MAINS]")
    expect(page.locator(".figure-small")).to_be_visible()
    whole: dict[str, Any] = {
        "utility": {**SITE["utility"], "x_over_r": 10},
        "elements": [
            {"transformer": {**SITE["transformer"], "x_over_r": 6}},
            {"conductor": {**SITE["conductor"], "sets": 2}},
        ],
        "frequency": "60 Hz",
    }
    there = requests.post(f"{service}/v1/fault-currents", json=whole, timeout=10).json()
    expect(page.locator(".figure-small")).to_have_text(there["available_fault_current"]["current"])
    points = page.locator(".curve circle.point")
    assert points.count() == 13
    heights = page.eval_on_selector_all(".curve circle.point", "all => all.map(each => each.cy.baseVal.value)")
    assert heights == sorted(heights), "less and less along the run"
    page.click("text=As a table")
    rows = page.locator(".curve tbody tr").all_inner_texts()
    assert rows[-1].split("\t") == ["164", there["available_fault_current"]["current"]]
    page.click("[data-use=MAINS]")
    supply = document_of(page)["supplies"][0]
    assert supply["available_fault_current"] == there["available_fault_current"]["current"]
    expect(page.locator("[data-pointer='/supplies/0/available_fault_current'] input")).to_have_value(
        supply["available_fault_current"]
    )
    expect(page.locator(".enough")).to_contain_text(f"the {supply['available_fault_current']} available at MAINS")


def test_errors_of_the_site_stand_at_their_fields(demo: Demo) -> None:
    page = demo("all_marked")
    fill(
        page,
        {
            **SITE,
            "utility": {"available": "500", "voltage": "13.8 kV"},
            "conductor": {"size": "501 kcmil", "material": "gold", "length": "164 ft"},
        },
    )
    page.click("[data-work=MAINS]")
    expect(page.locator("[data-fault='utility/available'] .wrong")).to_contain_text("500")
    expect(page.locator("[data-fault='conductor/size'] .wrong")).not_to_be_empty()
    expect(page.locator("[data-fault='conductor/material'] .wrong")).to_contain_text("gold")
    expect(page.locator("[data-fault='utility/available'] input")).to_have_attribute("aria-invalid", "true")
