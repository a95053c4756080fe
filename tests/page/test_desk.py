"""The order desk on the page: keeping, orders, records, nameplate, report; and the key where there are keys."""

import json
from collections.abc import Callable
from pathlib import Path

import requests
from playwright.sync_api import Browser
from playwright.sync_api import Page
from playwright.sync_api import expect

from api.access import Role
from api.access import new_key
from api.store import open_store
from tests.api.running import running

from .conftest import demo_document
from .conftest import document_of

Demo = Callable[[str], Page]


def test_a_panel_is_kept_and_found_again_in_its_order(demo: Demo, service: str) -> None:
    page = demo("all_marked")
    page.click("#keep")
    page.locator("dialog [data-pointer='/panel/order'] input").fill("TO-KEPT/2")
    page.click("#keep-now")
    expect(page.locator("#told")).to_contain_text("kept in order TO-KEPT/2, revision 1")
    stored = requests.get(f"{service}/v1/orders/TO-KEPT%2F2/panels/AUG-01", timeout=10).json()
    assert stored["document"] == document_of(page)
    page.click("#tab-panel")
    page.locator("[data-pointer='/panel/title'] input").fill("Another title")
    page.click("#keep")
    page.click("#keep-now")
    expect(page.locator("#told")).to_contain_text("revision 2")
    page.click("#orders")
    page.fill("#desk-text", "kept")
    page.click("[data-order='TO-KEPT/2']")
    page.click("[data-panel='AUG-01']")
    expect(page.locator(".figure")).to_have_text("18 kA")
    expect(page.locator("#panel-name")).to_contain_text("Another title")
    page.click("#tab-changes")
    expect(page.locator("#panel-changes h3")).to_have_text("Against revision 2 in order TO-KEPT/2")


def test_a_name_that_the_service_refuses_is_told(demo: Demo) -> None:
    page = demo("all_marked")
    page.click("#keep")
    page.locator("dialog [data-pointer='/panel/order'] input").fill("x" * 101)
    page.click("#keep-now")
    expect(page.locator("dialog [role=alert]")).to_contain_text("error")


def test_records_are_searched_and_opened(demo: Demo, service: str) -> None:
    document = json.loads(demo_document("two_weakest_links").read_bytes())
    document["panel"]["order"] = "TO-RECORDED"
    made = requests.post(
        f"{service}/v1/ratings?record=true", json=document, headers={"Idempotency-Key": '"r"'}, timeout=10
    )
    record = made.json()["id"]
    page = demo("all_marked")
    page.click("#records")
    page.fill("#desk-text", "TO-RECORDED")
    page.click(f"[data-record='{record}']")
    expect(page.locator("#panel-name")).to_contain_text("DRY-06")
    page.click("#records")
    page.fill("#desk-text", "no such thing")
    expect(page.locator("#found")).to_contain_text("No record names this")


def test_the_nameplate_is_seen_and_downloaded(demo: Demo, service: str, tmp_path: Path) -> None:
    page = demo("all_marked")
    page.click("#nameplate")
    image = page.locator(".preview img")
    expect(image).to_be_visible()
    assert image.evaluate("each => each.decode().then(() => each.naturalWidth)") > 100
    record = page.locator("dialog .hint").inner_text().split()[2].rstrip(",")
    for form, begins in (("png", b"\x89PNG"), ("pdf", b"%PDF"), ("svg", b"<")):
        with page.expect_download() as saved:
            page.click(f"[data-format={form}]")
        saved.value.save_as(tmp_path / form)
        downloaded = (tmp_path / form).read_bytes()
        assert downloaded.startswith(begins)
        assert saved.value.suggested_filename == f"AUG-01 nameplate.{form}"
        if form == "png":
            there = requests.get(f"{service}/v1/records/{record}/nameplate?format=png", timeout=30)
            assert downloaded == there.content
    page.click("#close")
    page.click("#nameplate")
    expect(page.locator("dialog .hint")).to_contain_text(record), "the same document is the same record"


def test_a_nameplate_that_is_refused_says_why(demo: Demo) -> None:
    page = demo("slash_rating_on_delta")
    page.click("#nameplate")
    expect(page.locator("dialog .wrong")).to_contain_text("withheld")


def test_the_report_is_seen_with_its_style_and_downloaded(demo: Demo, tmp_path: Path) -> None:
    page = demo("all_marked")
    page.click("#report")
    frame = page.frame_locator("iframe")
    expect(frame.locator("body")).to_contain_text("AUG-01")
    styled = frame.locator("table").first.evaluate("table => getComputedStyle(table).borderCollapse")
    assert styled == "collapse", "the policy lets the style of the report in"
    with page.expect_download() as saved:
        page.click("[data-format=pdf]")
    saved.value.save_as(tmp_path / "report.pdf")
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")


def test_a_service_with_keys_asks_for_one_and_keeps_it_out_of_cookies(browser: Browser, tmp_path: Path) -> None:
    database = f"sqlite:///{tmp_path / 'desk.db'}"
    store = open_store(database)
    store.migrate()
    made = new_key(Role.CATALOGUE)
    store.add_key(made.prefix, made.hash, "catalogue", "page")
    store.close()
    context = browser.new_context()
    page = context.new_page()
    with running(database, work_processes=0, workers=1, graceful_seconds=1) as address:
        page.goto(address)
        page.click("[data-demo=whole_line]")
        expect(page.locator("#dialog-title")).to_have_text("Key")
        page.fill("#key-text", made.text)
        page.click("#key-use")
        page.click("[data-demo=whole_line]")
        expect(page.locator(".figure")).to_have_text("10 kA")
        expect(page.locator("#told")).to_contain_text("The catalogue was empty")
        assert context.cookies() == []
        assert page.evaluate("Object.keys(localStorage)") == ["sccr.draft"]
        assert page.evaluate("sessionStorage.getItem('sccr.key')") not in page.evaluate(
            "localStorage.getItem('sccr.draft')"
        )
        asks_before_it_adds_to_somebodys_parts(page, address, made.text)
    context.close()


def asks_before_it_adds_to_somebodys_parts(page: Page, address: str, key: str) -> None:
    """A catalogue that has parts, but not those of the demos, is somebody's."""
    parts, sent = f"{address}/v1/parts", {"Authorization": f"Bearer {key}"}
    own = {"part": "OURS-1", "kind": "contactor"}
    assert requests.put(f"{parts}/OURS-1", json=own, headers={**sent, "If-None-Match": "*"}, timeout=10).ok
    there = requests.get(f"{parts}/MAIZE-250", headers=sent, timeout=10)
    gone = requests.delete(f"{parts}/MAIZE-250", headers={**sent, "If-Match": there.headers["ETag"]}, timeout=10)
    assert gone.ok, gone.text
    page.click("#open")
    page.click("dialog [data-demo=whole_line]")
    expect(page.locator("#dialog-title")).to_have_text("The demo's parts")
    assert requests.get(f"{parts}/MAIZE-250", headers=sent, timeout=10).status_code == 404
    page.click("dialog button.main")
    expect(page.locator(".mistakes")).to_contain_text("-FC1 › part is not in the catalogue")
    page.click("#open")
    page.click("dialog [data-demo=whole_line]")
    page.click("#bring-parts")
    expect(page.locator(".mistakes")).to_have_count(0)
    expect(page.locator(".figure")).to_have_text("10 kA")
    assert requests.get(f"{parts}/OURS-1", headers=sent, timeout=10).json()["kind"] == "contactor"
