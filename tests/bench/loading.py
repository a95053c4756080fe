"""Loading a panel document: the fast lane beside the way of the contract, and what a process waits for beforehand."""

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import process_time
from typing import Any

from rich.console import Console
from rich.table import Table

from sccr.schema.catalogue import Catalogue
from sccr.schema.load import load_quickly
from sccr.schema.load import load_with_care
from tests.bench.lines import line_of

SIZES = (10, 50, 500, 5_000)
ROOT = Path(__file__).parent.parent.parent
TARGET, PRIZE = 0.45, 0.3  # ms of processor time for 50 components
START = {
    "import sccr": "import sccr",
    "and load a panel": "import sccr; sccr.load_panel(open('fixtures/panels/all_marked.json', 'rb').read())",
    "and rate it": "import sccr; sccr.rate(open('fixtures/panels/all_marked.json', 'rb').read())",
}


def loading(console: Console) -> None:
    """Print the processor time of loading by size, from text and from a mapping, and the start of a process."""
    table = Table("components", "json.loads ms", "text ms", "mapping ms", "by the contract ms", "contract : fast lane")
    medians: dict[int, dict[str, float]] = {}
    for size in SIZES:
        found = medians[size] = _of(size)
        ratio = found["contract"] / found["mapping"]
        table.add_row(f"{size:,}", *(f"{each:.3f}" for each in found.values()), f"{ratio:.1f}")
    console.print(table)
    for what in ("text", "mapping"):
        took = medians[50][what]
        met = "met, and the prize" if took < PRIZE else "met" if took < TARGET else "not met"
        console.print(f"50 components from {what}: {took:.3f} ms, target {TARGET} ms (prize {PRIZE}): {met}")
    console.print(f"50 components of names never seen before: text {_unseen():.3f} ms")
    console.print(f"growth from 500 to 5,000 components: {_growth():.1f} times (linear: 10)")
    console.print(f"demo panels that take the fast lane, with the demo catalogue: {_share()}")
    for what, program in START.items():
        console.print(f"{what}: {_start(program):.0f} ms of processor time in a new process, its own start taken off")


def _of(size: int) -> dict[str, float]:
    """The medians [ms], each round taking all of them in turn, so that what else the machine does is shared."""
    document = line_of(size)
    text = json.dumps(document)
    actions: dict[str, Callable[[], Any]] = {
        "json": lambda: json.loads(text),
        "text": lambda: load_quickly(text, None, "x"),
        "mapping": lambda: load_quickly(document, None, "x"),
        "contract": lambda: load_with_care(document, None, "x"),
    }
    assert load_quickly(text, None, "x") == load_with_care(text, None, "x")
    times: dict[str, list[float]] = {name: [] for name in actions}
    for _ in range(max(5, 10_000 // size)):
        for name, action in actions.items():
            start = process_time()
            action()
            times[name].append(process_time() - start)
    return {name: median(taken) * 1_000 for name, taken in times.items()}


def _unseen() -> float:
    """The median [ms] of documents of 50 components that have no designation in common."""
    text = json.dumps(line_of(50))
    times = []
    for number in range(400):
        renamed = re.sub(r'"(FC|KM|FR|MA|XD|FU)(\d+)"', rf'"\g<1>\g<2>.{number}"', text)
        start = process_time()
        assert load_quickly(renamed, None, "x") is not None
        times.append(process_time() - start)
    return median(times) * 1_000


def _growth() -> float:
    """How many times as long 5,000 components take as 500: the median of rounds of both, one after the other."""
    small, large = line_of(500), line_of(5_000)
    ratios = []
    for _ in range(15):
        start = process_time()
        for _ in range(10):
            load_quickly(small, None, "x")
        middle = process_time()
        load_quickly(large, None, "x")
        ratios.append((process_time() - middle) / (middle - start) * 10)
    return median(ratios)


def _share() -> str:
    catalogue = Catalogue.from_document((ROOT / "fixtures/catalogue/grain.json").read_text("utf-8"))
    documents = [path.read_text("utf-8") for path in (ROOT / "fixtures/panels").glob("*.json")]
    taken = sum(load_quickly(document, catalogue, "x") is not None for document in documents)
    return f"{taken} of {len(documents)}"


def _start(program: str) -> float:
    """The processor time [ms] of a program in a new process, less that of a process that does nothing."""
    return min(_process(program) for _ in range(5)) - min(_process("") for _ in range(5))


def _process(program: str) -> float:
    tell = "import time; print(time.process_time())"
    found = subprocess.run(
        [sys.executable, "-c", f"{program}\n{tell}"], capture_output=True, text=True, check=True, cwd=ROOT
    )
    return float(found.stdout) * 1_000
