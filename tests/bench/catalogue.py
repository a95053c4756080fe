"""A catalogue of 50,000 parts: how long a caller of the service waits for a search, an import and an export."""

import json
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter
from urllib.parse import urlencode

from flask.testing import FlaskClient
from rich.console import Console
from rich.table import Table

from api import create_app
from api.settings import Settings
from sccr import Catalogue
from sccr.schema.exchange import CSV
from sccr.schema.exchange import XLSX
from sccr.schema.exchange import export_csv
from sccr.schema.exchange import export_xlsx
from tests.store.databases import fresh
from tests.store.databases import postgresql
from tests.store.large import parts

PARTS = 50_000
ROUNDS = 25
#: What the median of the searches is to be under [ms].
TARGET = 50
#: What a designer asks; the first page, of fifty parts.
SEARCHES = {
    "everything": {},
    "kind": {"kind": "circuit_breaker"},
    "a breaker for a 480Y/277 V feeder": {
        **{"kind": "circuit_breaker", "poles": 3, "voltage": "480Y/277 V", "amperes_min": "30 A"},
        "interrupting": "35 kA",
    },
    "100 kA at 600 V on a delta": {"voltage": "600 V", "system": "ungrounded_delta", "interrupting": "100 kA"},
    "standard, accessory and mounting": {"standard": "CSA", "accessory": "Shunt trip", "mounting": "door"},
    "text": {"text": "barley-0499"},
    "text that stands nowhere": {"text": "no such part"},
}


def catalogue_search(console: Console) -> None:
    """Print how long the searches take [ms] on each kind of database, their median last."""
    with tempfile.TemporaryDirectory() as folder:
        with fresh(None, Path(folder)) as address:
            _searches(console, "SQLite", address)
        with postgresql() as server, fresh(server, Path(folder)) as address:
            _searches(console, "PostgreSQL", address)


def _searches(console: Console, kind: str, address: str) -> None:
    client = create_app(Settings(database=address)).test_client()
    _import(console, client, kind, CSV, export_csv(list(parts(PARTS))))
    times = {name: _milliseconds(_asking(client, asked)) for name, asked in SEARCHES.items()}
    table = Table(f"search of {PARTS:,} parts over HTTP, {kind}", "median ms", "fastest ms")
    for name, several in times.items():
        table.add_row(name, f"{median(several):.1f}", f"{min(several):.1f}")
    medians, fastest = ([of(several) for several in times.values()] for of in (median, min))
    table.add_row(f"median (target: {TARGET} ms)", f"{median(medians):.1f}", f"{median(fastest):.1f}", style="bold")
    console.print(table)


def catalogue_in_and_out(console: Console) -> None:
    """Print how long it takes to read, import and export so many parts [s]."""
    written = list(parts(PARTS))
    text = json.dumps({"format": "catalogue/1", "parts": written})
    start = perf_counter()
    catalogue = Catalogue.from_document(text)
    console.print(f"catalogue of {PARTS:,} parts read from JSON: {perf_counter() - start:.1f} s")
    times = []
    for number in range(9):
        start = perf_counter()
        assert catalogue.near_to(f"OTA-{number}0123")
        times.append((perf_counter() - start) * 1_000)
    console.print(f"near numbers of an unknown part: {times[0]:.0f} ms the first time, then {median(times[1:]):.0f} ms")
    with tempfile.TemporaryDirectory() as folder:
        client = create_app(Settings(data=Path(folder))).test_client()
        for form, body in ((XLSX, export_xlsx(written)), (CSV, export_csv(written))):
            _import(console, client, "dry run", form, body, "?dry_run=true")
        _import(console, client, "SQLite", XLSX, export_xlsx(written))
        for name in ("xlsx", "csv"):
            start = perf_counter()
            assert client.get(f"/v1/catalogue/export?format={name}").status_code == 200
            console.print(f"export of {PARTS:,} parts as {name}: {perf_counter() - start:.1f} s")


def _import(console: Console, client: FlaskClient, what: str, form: str, body: bytes, query: str = "") -> None:
    start = perf_counter()
    response = client.post(f"/v1/catalogue/import{query}", data=body, content_type=form)
    assert response.status_code in (200, 201), response.text
    took = perf_counter() - start
    name = "XLSX" if form == XLSX else "CSV"
    console.print(f"import of {PARTS:,} parts from {name} ({len(body) / 1e6:.1f} MB), {what}: {took:.1f} s")


def _asking(client: FlaskClient, asked: dict[str, object]) -> Callable[[], None]:
    address = f"/v1/parts?{urlencode(asked)}"

    def ask() -> None:
        assert client.get(address).status_code == 200

    return ask


def _milliseconds(action: Callable[[], None]) -> list[float]:
    """The times of an action [ms], after one to warm up: what a caller waits, so not the processor's time."""
    action()
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        action()
        times.append((perf_counter() - start) * 1_000)
    return times


if __name__ == "__main__":
    catalogue_search(Console())
    catalogue_in_and_out(Console())
