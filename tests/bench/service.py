"""The service under load, beside the bare ceiling of its server; its memory, and how soon it answers after a start."""

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from statistics import median
from typing import Any
from urllib.request import Request
from urllib.request import urlopen

from rich.console import Console
from rich.table import Table

from tests.bench.lines import line_of

ROOT = Path(__file__).parents[2]
JSON = {"Content-Type": "application/json"}
COMPONENTS, WORKERS, THREADS = 50, 2, 4
CONNECTIONS = (1, 8, 32)
ROUNDS, SECONDS = 5, 2.0
STARTS = 7
#: The share of the bare ceiling that is wanted, and the time from the start to the first answer [s].
SHARE, FIRST_ANSWER = 0.40, 1.0

#: Where a body has its number, of eight digits.
MARK = "@@NUMBER"
_TICKS = os.sysconf("SC_CLK_TCK")
#: Where each round of questions begins to count, so that none was asked before.
_FIRST = count(1, 100_000)


@dataclass(frozen=True, slots=True)
class Server:
    """A server under way: its port, and the processes that answer."""

    port: int
    workers: list[int]

    def memory(self) -> list[int]:
        """What each worker holds in memory [MB]."""
        return [_status(worker, "VmRSS") // 1024 for worker in self.workers]

    def busy(self) -> float:
        """The processor time that the workers have taken [s]."""
        rows = [Path(f"/proc/{worker}/stat").read_text().rsplit(")", 1)[1].split() for worker in self.workers]
        return sum(int(row[11]) + int(row[12]) for row in rows) / _TICKS


@dataclass(frozen=True, slots=True)
class Run:
    """A round: answers a second, the median and the 99th percentile [ms], processor time of the workers [ms each]."""

    rate: float
    half: float
    most: float
    cpu: float
    split: str


def service(console: Console) -> None:
    """Print the service's figures, with the targets beside them."""
    first_answers(console)
    body = json.dumps({**line_of(COMPONENTS), "panel": {"designation": f"LINE-{MARK}"}})
    with tempfile.TemporaryDirectory() as folder, commanded(Path(folder) / "service") as address:
        own = _server(address)
        at_start = own.memory()
        size = len(_post(address, body.replace(MARK, "0" * 8).encode()))
        with _bare(Path(folder) / "bare", size) as bare:
            under_load(console, {"bare": _server(bare), "service": own}, body, size)
        console.print(f"memory of the workers, MB each: {at_start} at the start, {own.memory()} after all of this")


def under_load(console: Console, servers: dict[str, Server], body: str, size: int) -> None:
    """Print the bare ceiling, the service asked with bodies that differ, and with one again and again."""
    cases = {"bare": ("bare", True), "distinct": ("service", True), "repeated": ("service", False)}
    runs: dict[tuple[int, str], list[Run]] = {}
    for name, distinct in cases.values():
        _run(servers[name], CONNECTIONS[-1], body, distinct)  # warms up
    for _ in range(ROUNDS):  # each case in each round, so that whatever else the machine does is every case's
        for connections in CONNECTIONS:
            for case, (name, distinct) in cases.items():
                done = _run(servers[name], connections, body, distinct)
                runs.setdefault((connections, case), []).append(done)
    title = f"POST /v1/ratings, {COMPONENTS} components, {len(body):,} B in, {size:,} B out, {WORKERS} workers"
    table = Table(
        "connections", "split", "case", "answers/s", "p50 ms", "p99 ms", "CPU ms", "share", "target", title=title
    )
    for (connections, case), some in runs.items():
        ceiling = runs[connections, "bare"]
        share = median(own.rate / bare.rate for own, bare in zip(some, ceiling, strict=True))
        table.add_row(*_row(connections, case, some, share), style="dim" if case == "bare" else "")
    console.print(table)


def _row(connections: int, case: str, some: list[Run], share: float) -> tuple[str, ...]:
    rate, half, most, cpu = (
        median(values) for values in zip(*((r.rate, r.half, r.most, r.cpu) for r in some), strict=True)
    )
    target = "" if case == "bare" else f"{SHARE:.0%} {'met' if share >= SHARE else 'NOT MET'}"
    figures = (f"{rate:,.0f}", f"{half:.1f}", f"{most:.1f}", f"{cpu:.2f}", f"{share:.0%}")
    return (str(connections), " ".join(sorted({run.split for run in some})), case, *figures, target)


def _run(server: Server, connections: int, body: str, distinct: bool) -> Run:
    job = {
        **{"port": server.port, "workers": server.workers, "connections": connections, "seconds": SECONDS},
        **{"body": body, "mark": MARK, "distinct": distinct, "first": next(_FIRST) if distinct else 0},
    }
    before = server.busy()
    command = [sys.executable, "-m", "tests.bench.asking"]
    told = subprocess.run(command, cwd=ROOT, input=json.dumps(job), capture_output=True, text=True, check=True)
    found = json.loads(told.stdout)
    took = found["milliseconds"]
    return Run(
        rate=len(took) / found["seconds"],
        half=median(took),
        most=took[int(len(took) * 0.99)],
        cpu=1_000 * (server.busy() - before) / len(took),
        split="/".join(map(str, sorted(found["split"], reverse=True))),
    )


def first_answers(console: Console) -> None:
    """Print how long it takes from the start of the command to the first rating."""
    table = Table("start to first answer", "s", "CPU s", "target s")
    with tempfile.TemporaryDirectory() as folder:
        known = Path(folder) / "known"
        _first_answer(known)
        for name, places in {
            "no data yet": [Path(folder) / str(number) for number in range(STARTS)],
            "data of before": [known] * STARTS,
        }.items():
            wall, cpu = zip(*map(_first_answer, places), strict=True)
            met = "met" if median(wall) < FIRST_ANSWER else "NOT MET"
            table.add_row(name, f"{median(wall):.2f}", f"{median(cpu):.2f}", f"{FIRST_ANSWER:.0f} {met}")
    console.print(table)


def _first_answer(folder: Path) -> tuple[float, float]:
    body = (ROOT / "fixtures" / "panels" / "all_marked.json").read_bytes()
    began, before = time.perf_counter(), os.times()
    with commanded(folder) as address:
        _post(address, body)
        seconds = time.perf_counter() - began
    after = os.times()  # of the processes that have ended: all that the command started but for what works beside
    return seconds, after.children_user + after.children_system - before.children_user - before.children_system


def _post(address: str, body: bytes) -> bytes:
    with urlopen(Request(f"{address}/v1/ratings", body, JSON), timeout=60) as answer:
        found: bytes = answer.read()
    return found


@contextmanager
def commanded(folder: Path) -> Iterator[str]:
    """Start the service by its command; yield its address."""
    options = ("--port", "0", "--data", str(folder), "--workers", str(WORKERS), "--threads", str(THREADS))
    with _started([sys.executable, "-m", "api", "serve", *options]) as address:
        yield address


@contextmanager
def _bare(folder: Path, size: int) -> Iterator[str]:
    command = [sys.executable, "-m", "tests.bench.bare", str(folder), str(size), str(WORKERS), str(THREADS)]
    with _started(command) as address:
        yield address


@contextmanager
def _started(command: list[str]) -> Iterator[str]:
    quiet: dict[str, Any] = {"stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL, "text": True}
    with subprocess.Popen(command, cwd=ROOT, **quiet) as process:
        assert process.stdout is not None
        try:
            address = process.stdout.readline().strip()
            assert address, "it did not start"
            yield address
        finally:
            process.terminate()
            process.wait(timeout=60)


def _server(address: str) -> Server:
    """Return the server of an address: its workers are the processes that listen there, once all do."""
    port = int(address.rsplit(":", 1)[1])
    for _ in range(200):
        inodes = {f"socket:[{row.split()[9]}]" for row in _listening(port)}
        numbered = (folder for folder in Path("/proc").iterdir() if folder.name.isdigit())
        workers = [int(folder.name) for folder in numbered if _has(folder, inodes)]
        if len(workers) == WORKERS:
            return Server(port, sorted(workers))
        time.sleep(0.05)
    raise AssertionError("not all workers listen")


def _listening(port: int) -> list[str]:
    rows = Path("/proc/net/tcp").read_text().splitlines()[1:]
    return [row for row in rows if row.split()[1].endswith(f":{port:04X}") and row.split()[3] == "0A"]


def _has(process: Path, inodes: set[str]) -> bool:
    try:
        return any(str(link.readlink()) in inodes for link in (process / "fd").iterdir())
    except OSError:
        return False


def _status(process: int, name: str) -> int:
    lines = Path(f"/proc/{process}/status").read_text().splitlines()
    [found] = [line.split()[1] for line in lines if line.startswith(f"{name}:")]
    return int(found)
