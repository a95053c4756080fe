"""`python -m tests.store.large [address]`: 50,000 invented parts, imported and searched, with the times."""

import sys
import tempfile
from collections.abc import Callable
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from api.store import PartQuery
from api.store import Put
from api.store import Store
from api.store import open_store
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage

CROPS = ("OAT", "RYE", "BARLEY", "MAIZE", "MILLET", "SPELT", "RICE", "FLAX", "HEMP", "TEFF")
KINDS = ("circuit_breaker", "contactor", "terminal_block", "motor_starter", "fuseholder")
MOUNTINGS = ("DIN rail", "panel", "door")
STANDARDS = (["UL 489", "CSA C22.2 No. 5", "IEC 60947-2"], ["UL 1077", "IEC 60898-1"], ["UL 60947-4-1"])
VOLTAGES = ("240 V", "480Y/277 V", "480 V", "600Y/347 V", "600 V")
ROUNDS = 25

WYE_480 = Voltage(480_000, 277_000, Form.WYE)
QUERIES = {
    "everything": PartQuery(),
    "kind": PartQuery(kind="circuit_breaker"),
    "a breaker for a 480Y/277 V feeder": PartQuery(
        kind="circuit_breaker", poles=3, voltage=WYE_480, ampere_ma_min=30_000, interrupting_ma=35_000_000
    ),
    "the few that interrupt 100 kA at 600 V": PartQuery(
        voltage=Voltage(600_000), system=System.UNGROUNDED_DELTA, interrupting_ma=100_000_000
    ),
    "standard, accessory, mounting": PartQuery(standard="CSA", accessory="Shunt trip", mounting="door"),
    "text": PartQuery(text="barley-0499"),
    "text that stands nowhere": PartQuery(text="no such part"),
    "nothing interrupts that much": PartQuery(voltage=WYE_480, interrupting_ma=900_000_000),
    "no such accessory": PartQuery(accessory="none"),
}


def part(number: int) -> dict[str, Any]:
    """A part that differs from the others; whoever asks for the same number gets the same part."""
    kind = KINDS[number % len(KINDS)]
    crop = CROPS[number // 7 % len(CROPS)]
    document: dict[str, Any] = {
        "part": f"{crop}-{number:05d}",
        "kind": kind,
        "description": f"{crop.title()} line, size {number % 23}, {kind.replace('_', ' ')}",
        "poles": number % 3 + 1,
        "ampere_rating": f"{number % 250 + 1} A",
        "standards": STANDARDS[number % 3],
        "accessories": ["Auxiliary contact", "Shunt trip"] if number % 5 == 0 else [f"Cover {number % 9}"],
        "mounting": MOUNTINGS[number % 11 % 3],
    }
    rating = "interrupting_ratings" if kind == "circuit_breaker" else "short_circuit_ratings"
    document[rating] = [
        {"voltage": voltage, "current": f"{5 * (number % 19 + 1) + 5 * (number % 500 == 18)} kA"}
        for voltage in VOLTAGES[: number % 5 + 1]
    ]
    return document


def parts(count: int) -> Iterator[dict[str, Any]]:
    return (part(number) for number in range(count))


def milliseconds(action: Callable[[], Any]) -> float:
    """The median time of an action [ms], after one to warm up: what a caller waits, so not the processor's time."""
    action()
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        action()
        times.append(perf_counter() - start)
    return median(times) * 1_000


def searches(store: Store, version: int | None = None) -> dict[str, float]:
    """The median time [ms] of each search, and of the next page of each that has one."""
    times = {}
    for name, query in QUERIES.items():
        page = store.search(query, version=version)
        times[name] = milliseconds(lambda query=query: store.search(query, version=version))
        if page.next is not None:
            after = page.next
            times[f"{name}, page 2"] = milliseconds(lambda q=query, a=after: store.search(q, a, version=version))
    return times


def run(address: str) -> None:
    store = open_store(address)
    store.migrate()
    start = perf_counter()
    version = store.apply_changes([Put(document) for document in parts(50_000)], "bench")
    print(f"import of {version.parts:,} parts: {perf_counter() - start:.1f} s")
    start = perf_counter()
    store.apply_changes([Put({**part(7), "description": "Another"})], "bench")
    print(f"change of one part: {perf_counter() - start:.2f} s")
    for label, at in (("newest", None), ("version 1", 1)):
        times = searches(store, at)
        for name, time in times.items():
            print(f"{label}: {name}: {time:.1f} ms")
        print(f"{label}: median of all {median(times.values()):.1f} ms, slowest {max(times.values()):.1f} ms")
    store.close()


if __name__ == "__main__":
    if len(sys.argv) > 1:
        run(sys.argv[1])
    else:
        with tempfile.TemporaryDirectory() as folder:
            run(f"sqlite:///{Path(folder) / 'large.db'}")
