"""One browser and one service for all tests of the page; each test has a page of its own, with nothing left in it."""

import os
import shutil
import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import requests
from flask.testing import FlaskClient
from playwright.sync_api import Browser
from playwright.sync_api import Page
from playwright.sync_api import expect
from playwright.sync_api import sync_playwright

from api import create_app
from api.settings import Settings
from tests.api.conftest import CATALOGUE
from tests.api.conftest import ROOT
from tests.api.running import running

#: What Debian calls it, and what others do.
NAMES = ("chromium", "chromium-browser", "google-chrome")
#: As root there is no sandbox; and nothing of the browser's own asks the network.
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
SHOTS = ROOT / "build" / "screenshots"
PATIENCE = 15_000
expect.set_options(timeout=PATIENCE)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    found = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)
    assert found, "the tests of the page need Chromium: apt-get install chromium, or name it in CHROMIUM"
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=found, args=QUIET)
        yield started
        started.close()


class Serving:
    """A service with the demo catalogue and a database of its own, which can be stopped and started where it was."""

    def __init__(self, folder: Path) -> None:
        self._database = f"sqlite:///{folder / 'page.db'}"
        self._running = ExitStack()
        self.address = ""
        self.start()

    def start(self) -> None:
        """Start; the second time at the same address."""
        port = urlsplit(self.address).port or 0
        settings = {"catalogue": str(CATALOGUE), "work_processes": 0, "graceful_seconds": 1, "port": port}
        self.address = self._running.enter_context(running(self._database, **settings))

    def stop(self) -> None:
        """Stop, and wait until nothing answers."""
        self._running.close()


@pytest.fixture(scope="session")
def serving(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    started = Serving(tmp_path_factory.mktemp("page"))
    yield started
    started.stop()


@pytest.fixture(scope="session")
def service(serving: Serving) -> str:
    """The address of the service."""
    return serving.address


@pytest.fixture
def page(browser: Browser, service: str) -> Iterator[Page]:
    """A page at the start, in a browser that knows nothing yet; what goes wrong in it fails the test."""
    context = browser.new_context(base_url=service, viewport={"width": 1440, "height": 900}, accept_downloads=True)
    context.set_default_timeout(PATIENCE)
    opened = context.new_page()
    wrong: list[str] = []
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.on("console", lambda message: wrong.append(message.text) if _is_wrong(message) else None)
    opened.goto("/")
    expect(opened.locator("[data-demo]").first).to_be_visible(timeout=PATIENCE)  # all of it listens by now
    yield opened
    context.close()
    assert wrong == []


def _is_wrong(message: Any) -> bool:
    """Whether a message of the console is one: that the service refuses something is told there, too."""
    return message.type == "error" and "Failed to load resource" not in message.text


@pytest.fixture
def demo(page: Page) -> Callable[[str], Page]:
    """Open a demo panel, and wait until it is rated and drawn."""

    def opened(name: str) -> Page:
        page.click(f"[data-demo={name}]")
        expect(page.locator("#view [data-component]").first).to_be_visible(timeout=PATIENCE)
        expect(page.locator("#verdict .figure")).to_be_visible()
        return page

    return opened


@pytest.fixture
def rated(service: str) -> Callable[[dict[str, Any]], dict[str, Any]]:
    """What the service itself says of a document."""

    def ask(document: dict[str, Any]) -> dict[str, Any]:
        answer = requests.post(f"{service}/v1/ratings", json=document, timeout=10)
        assert answer.status_code == 200, answer.text
        found = answer.json()
        assert isinstance(found, dict)
        return found

    return ask


def shot(page: Page, name: str, *, whole: bool = True) -> None:
    """Keep a picture of the whole page, or of what is seen of it, to be looked at."""
    SHOTS.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=SHOTS / f"{name}.png", full_page=whole)


def document_of(page: Page) -> dict[str, Any]:
    """The document as the page keeps it."""
    found = page.evaluate("JSON.parse(localStorage.getItem('sccr.draft')).document")
    assert isinstance(found, dict)
    return found


def until(holds: Callable[[], bool]) -> None:
    """Wait until something holds. The policy of the page lets no text be run in it, by which the browser could wait."""
    ends = time.monotonic() + PATIENCE / 1000
    while not holds():
        assert time.monotonic() < ends, "it never came to be"
        time.sleep(0.02)


def demo_document(name: str) -> Path:
    return ROOT / "fixtures" / "panels" / f"{name}.json"


@pytest.fixture
def client(tmp_path: Path) -> FlaskClient:
    """A client of an application without a catalogue."""
    return create_app(Settings(data=tmp_path)).test_client()
