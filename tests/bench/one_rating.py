"""One rating, stage by stage: parse, graph, rules with the staircase, result; its memory and how it grows."""

import gc
import json
import tracemalloc
from collections.abc import Callable
from itertools import pairwise
from statistics import median
from time import process_time

from rich.console import Console
from rich.table import Table

import sccr
from sccr.report.as_json import as_json
from sccr.ul508a.subject import subject
from tests.bench.lines import line_of

SIZES = (10, 50, 500, 5_000)
STAGES = ("parse", "graph", "rules", "as_dict", "JSON")
#: Of 50 components, ms of processor time: what is measured, what it takes of the stages, target, prize.
TARGETS = (
    ("rate() of a document", ("parse", "graph", "rules"), 3.0, 1.5),
    ("rate_panel() of a panel already loaded", ("graph", "rules"), 0.8, 0.5),
    ("as_dict() in full, all that explains the rating made for it", ("as_dict",), 0.4, None),
)
GROWTH = 11.0

Times = dict[str, float]


def one_rating(console: Console) -> None:
    """Print medians of several rounds by size [ms of processor time], and what was aimed at beside them."""
    gc.collect()
    gc.freeze()  # what the other benchmarks have imported is not searched for garbage while a rating is made
    table = Table("components", *(f"{stage} ms" for stage in STAGES), "total ms", "µs a component", "peak MB")
    medians: dict[int, Times] = {}
    for size in SIZES:
        text = json.dumps(line_of(size))
        found = medians[size] = _medians(text, max(7, 10_000 // size))
        cells = (f"{found[stage]:.3f}" for stage in (*STAGES, "total"))
        table.add_row(f"{size:,}", *cells, f"{found['total'] / size * 1_000:.1f}", f"{_peak(text):.1f}")
    console.print(table)
    for what, stages, target, prize in TARGETS:
        took = sum(medians[50][stage] for stage in stages)
        console.print(f"50 components, {what}: {took:.2f} ms, {_held_against(took, target, prize)}")
    for extent, took in _extents(json.dumps(line_of(5_000))).items():
        console.print(f"5,000 components, result with its derivation {extent}: {took:.1f} ms, as_dict and JSON")
    times = _growth()
    met = "met" if times <= GROWTH else "not met"
    console.print(f"growth from 500 to 5,000 components: {times:.1f} times, target {GROWTH:.0f} (linear: 10): {met}")
    gc.unfreeze()


def _held_against(took: float, target: float, prize: float | None) -> str:
    if prize is None:
        return f"target {target} ms: {'met' if took < target else 'not met'}"
    met = "met, and the prize" if took < prize else "met" if took < target else "not met"
    return f"target {target} ms (prize {prize}): {met}"


def _medians(text: str, rounds: int) -> Times:
    _round(text)
    gc.collect()
    taken = [_round(text) for _ in range(rounds)]
    return {stage: median(times[stage] for times in taken) * 1_000 for stage in taken[0]}


def _round(text: str) -> Times:
    """One rating of a document, all its stages in turn [s]; the graph is made once more to be told from the rules."""
    marks = [process_time()]

    def mark() -> None:
        marks.append(process_time())

    panel = sccr.load_panel(text)
    mark()
    subject(panel)
    mark()
    rating = sccr.rate_panel(panel)
    mark()
    result = rating.as_dict()
    mark()
    json.dumps(result)
    mark()
    parse, graph, rated, made, written = (after - before for before, after in pairwise(marks))
    times = dict(zip(STAGES, (parse, graph, rated - graph, made, written), strict=True))
    return {**times, "total": sum(times.values())}


def _extents(text: str) -> Times:
    """What a result takes by how much of its derivation is written [ms]."""
    panel = sccr.load_panel(text)
    found = {}
    for extent in ("full", "short", "none"):
        times = []
        for _ in range(5):
            rating = sccr.rate_panel(panel)
            times.append(_took(lambda rating=rating, extent=extent: as_json(rating, derivation=extent)))
        found[extent] = median(times) * 1_000
    return found


def _growth() -> float:
    """How many times as long 5,000 components take as 500: the median of rounds of both, one after the other."""
    small, large = json.dumps(line_of(500)), json.dumps(line_of(5_000))

    def ten_small() -> None:
        for _ in range(10):
            as_json(sccr.rate(small))

    return median(10 * _took(lambda: as_json(sccr.rate(large))) / _took(ten_small) for _ in range(9))


def _took(action: Callable[[], object]) -> float:
    start = process_time()
    action()
    return process_time() - start


def _peak(text: str) -> float:
    """The most memory that a rating and its result take [MB], in a pass of its own: to trace it makes it slow."""
    tracemalloc.start()
    try:
        as_json(sccr.rate(text))
        return tracemalloc.get_traced_memory()[1] / 1_000_000
    finally:
        tracemalloc.stop()


if __name__ == "__main__":
    one_rating(Console())
