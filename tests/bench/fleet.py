"""A fleet of 20,000 stored panels, and a corrected part that a hundredth of them uses: by index, and in full."""

import tempfile
from collections.abc import Iterator
from contextlib import closing
from copy import deepcopy
from pathlib import Path
from resource import RUSAGE_SELF
from resource import getrusage
from statistics import median
from time import perf_counter
from time import process_time
from typing import Any

from rich.console import Console
from rich.table import Table

import sccr
from api.fleet.asking import asked_of
from api.fleet.ledger import Ledger
from api.fleet.run import ALL
from api.fleet.run import TOUCHED
from api.fleet.run import Run
from api.store import NewRecord
from api.store import Put
from api.store import Store
from api.store import open_store
from sccr.many import executor
from sccr.schema.digest import digest_of_panel
from tests.store.databases import fresh

PANELS = 20_000
#: Panels that differ in more than their names.
SHAPES = 200
#: Of these, those that use the part.
USING = 2
BRANCHES = 6
TOGETHER = 200
ROUNDS = 3


def fleet(console: Console) -> None:
    """Print how long a run takes by index and in full, the ratio, and how many panels a second are rated."""
    with (
        tempfile.TemporaryDirectory() as folder,
        fresh(None, Path(folder)) as address,
        closing(open_store(address)) as store,
    ):
        start = perf_counter()
        _fill(store)
        size = sum(file.stat().st_size for file in Path(folder).iterdir()) / 1e9
        told = f"{PANELS:,} panels of {3 * BRANCHES + 2} components"
        console.print(f"{told} stored in {perf_counter() - start:.0f} s, {size:.1f} GB")
        _print(console, store)


def _print(console: Console, store: Store) -> None:
    table = Table("run", "by", "rated", "changed", "CPU s", "wall s", "a second", "MB")
    by_index = [_row(table, store, TOUCHED, 0) for _ in range(ROUNDS)]
    _row(table, store, ALL, 2)
    cpu, changed = _row(table, store, ALL, 0)
    assert {found for _, found in by_index} == {changed}, "the full run finds something else"
    console.print(table)
    quick = median(cpu for cpu, _ in by_index)
    share = PANELS * USING // SHAPES / PANELS
    console.print(f"by index {quick:.2f} s of processor time (median of {ROUNDS}), in full {cpu:.1f} s, both by itself")
    console.print(f"{cpu / quick:.0f} times as fast, where {share:.0%} of the panels use the part; both find the same")


def _row(table: Table, store: Store, scope: str, workers: int) -> tuple[float, tuple[str, ...]]:
    """Make a run; return the processor time that this process took for it [s], and what it has found."""
    asked = asked_of({"format": "impact/1", "scope": scope, "changed_parts": [_breaker(0, "10 kA")]})
    wall, cpu = perf_counter(), process_time()
    run = Run.over(store, asked.propose(store), asked.scope)
    with Ledger() as ledger, executor(workers) as by:
        for _ in run.rate(ledger, by):
            pass
        wall, cpu = perf_counter() - wall, process_time() - cpu
        counts = run.summary(ledger)["counts"]
        found = tuple(ledger.worst_first())
    assert counts["touched"] == PANELS * USING // SHAPES
    told = (counts["rated"], counts["changed"])
    memory = getrusage(RUSAGE_SELF).ru_maxrss // 1024
    speed = counts["rated"] / (wall if workers else cpu)
    row = [f"{number:,}" for number in told] + [f"{cpu:.2f}", f"{wall:.2f}", f"{speed:,.0f}", str(memory)]
    table.add_row("in full" if scope == ALL else "by index", f"{workers} others" if workers else "itself", *row)
    return cpu, found


def _fill(store: Store) -> None:
    store.apply_changes([Put(part) for part in _parts()], "bench")
    shapes = [_rated(store, _panel(number)) for number in range(SHAPES)]
    for first in range(0, PANELS, TOGETHER):
        with store.transaction():
            for number in range(first, first + TOGETHER):
                _keep(store, number, *shapes[number % SHAPES])


def _rated(store: Store, document: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    return document, sccr.rate(document, store.catalogue_for(document)).as_dict()


def _keep(store: Store, number: int, document: dict[str, Any], result: dict[str, Any]) -> None:
    """Keep a panel that differs from its shape by the name only: it is not rated again for that."""
    identity = {"designation": f"P-{number}"}
    document = {**document, "panel": identity}
    own = {**result, "panel": identity, "document_digest": digest_of_panel(document)}
    order = f"TO-{number // 10}"
    store.put_revision(order, f"P-{number}", NewRecord(document, own, "bench", 1))
    if number % 2:
        store.mark_shipped(order, f"P-{number}", 1, "bench")


def _parts() -> Iterator[dict[str, Any]]:
    for number in range(SHAPES):
        yield _breaker(number, f"{20 + number % 7} kA")
        yield {
            **{"part": f"KM-{number}", "kind": "contactor", "horsepower": "10 hp"},
            "short_circuit_ratings": [{"current": "18 kA", "voltage": "480 V"}],
        }
        yield {
            **{"part": f"FR-{number}", "kind": "overload_relay"},
            "short_circuit_ratings": [{"current": f"{16 + number % 5} kA", "voltage": "480 V"}],
        }


def _breaker(number: int, current: str) -> dict[str, Any]:
    return {
        **{"part": f"FC-{number}", "kind": "circuit_breaker", "poles": 3, "ampere_rating": "30 A"},
        "interrupting_ratings": [{"current": current, "voltage": "480 V"}],
    }


def _panel(number: int) -> dict[str, Any]:
    """A panel whose parts have numbers from its own on; the first breaker of all is in USING panels only."""
    components = deepcopy(_HEAD)
    for branch in range(BRANCHES):
        kind = 0 if number < USING and branch == 0 else 1 + (number + branch) % (SHAPES - 1)
        components += [
            {"id": f"FC{branch}", "part": f"FC-{kind}", "fed_from": "XD0"},
            {"id": f"KM{branch}", "part": f"KM-{kind}", "fed_from": f"FC{branch}"},
            {"id": f"FR{branch}", "part": f"FR-{kind}", "fed_from": f"KM{branch}"},
        ]
    supply = {"id": "S", "voltage": "480Y/277 V", "system": "solidly_grounded_wye", "available_fault_current": "14 kA"}
    panel = {"designation": "P"}
    return {"format": "panel/1", "panel": panel, "supplies": [supply], "components": components}


_HEAD: list[dict[str, Any]] = [
    {"id": "FU0", "kind": "fuse", "fed_from": "S", "fuse_class": "J", "ampere_rating": "100 A"},
    {
        **{"id": "XD0", "kind": "power_distribution_block", "fed_from": "FU0"},
        "short_circuit_ratings": [{"current": "100 kA", "voltage": "600 V"}],
    },
]
