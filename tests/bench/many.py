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
COUNT = 4_000
#: Panels in the runs of which the memory is compared.
SHORT, LONG = 2_000, 20_000
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


def started(workers: int | str, count: int, others: Sequence[int] = ()) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", f"{__package__}.many_run", str(workers), str(count), *map(str, others)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE)


def ended(process: subprocess.Popen[bytes], count: int) -> Run:
    told = json.loads(process.communicate()[0])
    return Run(count, told["seconds"], [(worked, waited) for worked, waited in told["work"]], told["peak"])


def run(workers: int | str, count: int, others: Sequence[int] = ()) -> Run:
    return ended(started(workers, count, others), count)


def many_panels(console: Console) -> None:
    """Print the throughput by workers, and the memory of the process that reads and writes."""
    runs: dict[str, list[Run]] = {name: [] for name in (ALONE, BESIDE, ONE, TWO)}
    for _ in range(ROUNDS):  # in turns, so that what else the machine does strikes all alike
        runs[ALONE].append(run(0, COUNT))
        pair = [started(0, COUNT) for _ in range(2)]
        runs[BESIDE] += [ended(each, COUNT) for each in pair]
        runs[ONE].append(run(1, COUNT))
        runs[TWO].append(run(2, COUNT))
    for name, count in ((DASK_ONE, 1), (DASK_TWO, 2)):
        with cluster(count) as running:
            pids = [process.pid for process in (*running.workers, running.scheduler)]
            runs[name] = [run(running.address, COUNT, pids) for _ in range(ROUNDS)]
    _throughput(console, runs)
    _memory(console, [run(2, SHORT), run(2, LONG)])


ALONE, BESIDE = "this process, alone", "this process, another such one beside"
ONE, TWO, DASK_ONE, DASK_TWO = "1 process", "2 processes", "Dask, 1 worker", "Dask, 2 workers"
_WORKERS = {ALONE: 0, BESIDE: 0, ONE: 1, TWO: 2, DASK_ONE: 1, DASK_TWO: 2}


def _throughput(console: Console, runs: dict[str, list[Run]]) -> None:
    console.print(f"{COUNT:,} panels of {COMPONENTS} components, medians of {ROUNDS} rounds")
    head = ("CPU ms a panel", "of it to read and write", "a second, free cores", "to one core", "as it was")
    table = Table("who rates", *head)
    speeds: dict[str, float] = {}
    for name, several in runs.items():
        workers = _WORKERS[name]
        speeds[name] = COUNT / median(each.alone(max(1, workers), workers) for each in several)
    for name, several in runs.items():
        cells = (
            f"{median(each.each for each in several):.2f}",
            f"{median(each.by_parent for each in several):.2f}" if _WORKERS[name] else "",
            f"{speeds[name]:,.0f}",
            f"{speeds[name] / speeds[BESIDE]:.2f}",
            f"{COUNT / median(each.seconds for each in several):,.0f}",
        )
        table.add_row(name, *cells)
    console.print(table)
    ratio, alone = speeds[TWO] / speeds[BESIDE], speeds[TWO] / speeds[ALONE]
    met = "met" if ratio >= TARGET else "NOT met"
    console.print(f"two cores are {ratio:.2f} times one core of which the other is as busy (target: {TARGET}, {met})")
    console.print(
        f"and {alone:.2f} times one that has the machine for itself; two programs that know nothing of each other are "
        f"{2 * speeds[BESIDE] / speeds[ALONE]:.2f} times: what its cores share costs the rest"
    )
    console.print("free cores: without the time in which a worker waited for a processor that others had")


def _memory(console: Console, runs: list[Run]) -> None:
    for each in runs:
        most = f"{each.peak / 1e6:.0f} MB at most"
        console.print(f"{each.count:,} panels by 2 processes: the one that reads and writes takes {most}")


if __name__ == "__main__":
    many_panels(Console())
