"""The search for parts among 50,000, as a caller of the service waits for it; and the import of as many."""

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
from sccr.schema.exchange import export_csv
from tests.store.large import parts

PARTS = 50_000
ROUNDS = 25
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
    """Print how long the searches take [ms], their median last."""
    with tempfile.TemporaryDirectory() as folder:
        client = create_app(Settings(data=Path(folder))).test_client()
        table = export_csv(list(parts(PARTS)))
        start = perf_counter()
        response = client.post("/v1/catalogue/import", data=table, content_type="text/csv")
        assert response.status_code == 201, response.text
        took = perf_counter() - start
        console.print(f"import of {PARTS:,} parts from CSV ({len(table) / 1e6:.1f} MB): {took:.1f} s")
        _print(console, {name: _milliseconds(_asking(client, asked)) for name, asked in SEARCHES.items()})


def _print(console: Console, times: dict[str, float]) -> None:
    table = Table(f"search of {PARTS:,} parts over HTTP", "median ms")
    for name, time in times.items():
        table.add_row(name, f"{time:.1f}")
    table.add_row("median of all", f"{median(times.values()):.1f}", style="bold")
    console.print(table)


def _asking(client: FlaskClient, asked: dict[str, object]) -> Callable[[], None]:
    address = f"/v1/parts?{urlencode(asked)}"

    def ask() -> None:
        assert client.get(address).status_code == 200

    return ask


def _milliseconds(action: Callable[[], None]) -> float:
    """The median time of an action [ms], after one to warm up: what a caller waits, so not the processor's time."""
    action()
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        action()
        times.append(perf_counter() - start)
    return median(times) * 1_000


if __name__ == "__main__":
    catalogue_search(Console())
