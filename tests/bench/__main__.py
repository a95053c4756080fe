"""`python -m tests.bench [what …]`: one run, medians of several rounds.

What is measured: rating, plans, search, choices, catalogue, batch; without a name all of them.
"""

import sys
from collections.abc import Callable
from statistics import median
from time import process_time
from typing import Any

from rich.console import Console
from rich.table import Table

import sccr
from tests.bench.batches import batch_memory
from tests.bench.catalogue import catalogue_in_and_out
from tests.bench.catalogue import catalogue_search
from tests.bench.lines import line_of
from tests.bench.selections import selections
from tests.bench.upgrade import upgrade_plans

SIZES = (10, 50, 500, 5_000, 10_000)


def milliseconds(action: Callable[[], Any], rounds: int) -> float:
    """The median processor time of an action [ms] over several rounds, after one to warm up."""
    action()
    times = []
    for _ in range(rounds):
        start = process_time()
        action()
        times.append(process_time() - start)
    return median(times) * 1_000


def one_rating(console: Console) -> None:
    table = Table("components", "load CPU ms", "rate ms", "as_dict ms", "total ms", "ms a component")
    totals: dict[int, float] = {}
    for size in SIZES:
        document = line_of(size)
        panel = sccr.load_panel(document)
        rating = sccr.rate_panel(panel)
        rounds = max(3, 400 // size)
        parts = [
            milliseconds(lambda document=document: sccr.load_panel(document), rounds),
            milliseconds(lambda panel=panel: sccr.rate_panel(panel), rounds),
            milliseconds(rating.as_dict, rounds),
        ]
        totals[size] = sum(parts)
        table.add_row(f"{size:,}", *(f"{part:.2f}" for part in [*parts, sum(parts)]), f"{sum(parts) / size:.4f}")
    console.print(table)
    console.print(f"growth from 500 to 5,000 components: {totals[5_000] / totals[500]:.1f} times (linear: 10)")
    console.print(f"growth from 500 to 10,000 components: {totals[10_000] / totals[500]:.1f} times (linear: 20)")


MEASURED = {
    "rating": one_rating,
    "plans": upgrade_plans,
    "search": catalogue_search,
    "choices": selections,
    "catalogue": catalogue_in_and_out,
    "batch": batch_memory,
}

if __name__ == "__main__":
    for what in sys.argv[1:] or MEASURED:
        MEASURED[what](Console())
