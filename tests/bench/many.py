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
COUNT = 2_000
LONG = 20_000
ROUNDS = 3
#: Two cores are to be so many times as fast as one.
TARGET = 1.8


@dataclass(frozen=True)
class Run:
    """What a run took: on the clock [s]; of each process, first the one that reads and writes, its work and waiting."""

    count: int
    seconds: float
    work: list[tuple[float, float]]
    peak: int

    @property
    def each(self) -> float:
        """The processor time of all processes together, for a panel [ms]."""
        return sum(worked for worked, _ in self.work) / self.count * 1_000

    @property
    def by_parent(self) -> float:
        """The part of it that the process takes which reads and writes [ms]."""
        return self.work[0][0] / self.count * 1_000

    def alone(self, cores: int, workers: int) -> float:
        """What it would have taken on so many cores that nobody else uses [s].

        It is what the slowest worker took without its waiting for a processor; or what all processes together worked,
        if the cores have not got time enough for that.
        """
        those = self.work[1 : 1 + workers] or self.work
        return max(sum(worked for worked, _ in self.work) / cores, *(self.seconds - waited for _, waited in those))


def run(workers: int | str, count: int, others: Sequence[int] = ()) -> Run:
    command = [sys.executable, "-m", f"{__package__}.many_run", str(workers), str(count), *map(str, others)]
    told = json.loads(subprocess.run(command, cwd=ROOT, capture_output=True, check=True).stdout)
    return Run(count, told["seconds"], [(worked, waited) for worked, waited in told["work"]], told["peak"])


def many_panels(console: Console) -> None:
    """Print the throughput by workers, and the memory of the process that reads and writes."""
    runs: dict[str, list[Run]] = {}
    for _ in range(ROUNDS):  # in turns, so that what else the machine does strikes all alike
        for workers in (0, 1, 2):
            runs.setdefault(_NAMES[workers], []).append(run(workers, COUNT))
    for count in (1, 2):
        with cluster(count) as running:
            pids = [process.pid for process in (*running.workers, running.scheduler)]
            name = f"Dask, {count} worker{'s' if count > 1 else ''}"
            runs[name] = [run(running.address, COUNT, pids) for _ in range(ROUNDS)]
    _throughput(console, runs)
    _memory(console, [run(2, COUNT), run(2, LONG)])


_NAMES = {0: "this process", 1: "1 process", 2: "2 processes"}
_WORKERS = {"this process": 0, "1 process": 1, "2 processes": 2, "Dask, 1 worker": 1, "Dask, 2 workers": 2}


def _throughput(console: Console, runs: dict[str, list[Run]]) -> None:
    title = f"{COUNT:,} panels of {COMPONENTS} components, medians of {ROUNDS}"
    head = ("CPU ms a panel", "of that reading and writing", "a second on free cores", "ratio", "a second, as it was")
    table = Table(title, *head)
    speeds: dict[str, float] = {}
    for name, several in runs.items():
        workers = _WORKERS[name]
        speeds[name] = COUNT / median(each.alone(max(1, workers), workers) for each in several)
        cells = (
            f"{median(each.each for each in several):.2f}",
            f"{median(each.by_parent for each in several):.2f}" if workers else "",
            f"{speeds[name]:,.0f}",
            f"{speeds[name] / speeds['this process']:.2f}",
            f"{COUNT / median(each.seconds for each in several):,.0f}",
        )
        table.add_row(name, *cells)
    console.print(table)
    ratio = speeds["2 processes"] / speeds["this process"]
    met = "met" if ratio >= TARGET else "NOT met"
    console.print(f"two cores are {ratio:.2f} times one core (target: {TARGET}, {met})")
    console.print("free cores: without the time in which a worker waited for a processor that others had")


def _memory(console: Console, runs: list[Run]) -> None:
    for each in runs:
        most = f"{each.peak / 1e6:.0f} MB at most"
        console.print(f"{each.count:,} panels by 2 processes: the one that reads and writes takes {most}")


if __name__ == "__main__":
    many_panels(Console())
