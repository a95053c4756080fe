"""Many panels: how many a second by one and by two workers, of this machine and of a cluster, and in what memory."""

import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from rich.console import Console
from rich.table import Table

from tests.many.dask_cluster import cluster

from .many_run import COMPONENTS

ROOT = Path(__file__).parents[2]
COUNT = 3_000
#: Panels in the runs of which the memory is compared.
SHORT, LONG = 2_000, 20_000
ROUNDS = 5
#: Two cores are to be so many times as fast as one.
TARGET = 1.8


@dataclass(frozen=True)
class Run:
    """What a run took: on the clock [s], and of each process, first the one that reads and writes [s]."""

    count: int
    seconds: float
    work: list[float]
    peak: int

    @property
    def each(self) -> float:
        """The processor time of all processes together, for a panel [ms]."""
        return sum(self.work) / self.count * 1_000

    @property
    def by_parent(self) -> float:
        """The part of it that the process takes which reads and writes [ms]."""
        return self.work[0] / self.count * 1_000


def run(workers: int | str, count: int, others: Sequence[int] = ()) -> Run:
    command = [sys.executable, "-m", f"{__package__}.many_run", str(workers), str(count), *map(str, others)]
    told = json.loads(subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, check=True).stdout)
    return Run(count, told["seconds"], told["work"], told["peak"])


def many_panels(console: Console) -> None:
    """Print the throughput by workers, and the memory of the process that reads and writes."""
    runs: dict[str, list[Run]] = {name: [] for name in (ALONE, ONE, TWO)}
    for _ in range(ROUNDS):  # in turns, so that what else the machine does strikes all alike
        for name in runs:
            runs[name].append(run(_WORKERS[name], COUNT))
    for name in (DASK_ONE, DASK_TWO):
        with cluster(_WORKERS[name]) as running:
            pids = [process.pid for process in (*running.workers, running.scheduler)]
            runs[name] = [run(running.address, COUNT, pids) for _ in range(ROUNDS)]
    _throughput(console, runs)
    _memory(console, [run(2, SHORT), run(2, LONG)])


ALONE, ONE, TWO, DASK_ONE, DASK_TWO = "this process", "1 process", "2 processes", "Dask, 1 worker", "Dask, 2 workers"
_WORKERS = {ALONE: 0, ONE: 1, TWO: 2, DASK_ONE: 1, DASK_TWO: 2}


def _throughput(console: Console, runs: dict[str, list[Run]]) -> None:
    console.print(f"{COUNT:,} panels of {COMPONENTS} components, medians of {ROUNDS} rounds")
    table = Table("who rates", "a second", "to one", "CPU ms each", "of it to send")
    one = median(each.seconds for each in runs[ONE])
    for name, several in runs.items():
        seconds = median(each.seconds for each in several)
        cells = (
            f"{COUNT / seconds:,.0f}",
            f"{one / seconds:.2f}",
            f"{median(each.each for each in several):.2f}",
            f"{median(each.by_parent for each in several):.2f}" if _WORKERS[name] else "",
        )
        table.add_row(name, *cells)
    console.print(table)
    ratios = sorted(one.seconds / two.seconds for one, two in zip(runs[ONE], runs[TWO], strict=True))
    met = "met" if median(ratios) >= TARGET else "NOT met"
    spread = f"{ratios[0]:.2f} to {ratios[-1]:.2f} in the rounds"
    console.print(f"two processes are {median(ratios):.2f} times one, on the clock ({spread}): target {TARGET}, {met}")


def _memory(console: Console, runs: list[Run]) -> None:
    for each in runs:
        most = f"{each.peak / 1e6:.0f} MB at most"
        console.print(f"{each.count:,} panels by 2 processes: the one that reads and writes takes {most}")


if __name__ == "__main__":
    many_panels(Console())
