"""Load: what the service does for a while under a mix of requests, and when far more is asked of it than it can do."""

import json
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from statistics import median
from statistics import quantiles

import requests

from sccr import rate
from tests.api.running import running
from tests.bench.lines import line_of
from tests.trust.faults.asking import Load
from tests.trust.faults.served import Served
from tests.trust.faults.served import served
from tests.trust.faults.whole import Held
from tests.trust.faults.whole import held
from tests.trust.row import Row

NIGHTLY, USUAL = 180.0, 20.0
CALLERS = 4
MEGABYTE = 10**6
#: No process may take so much more memory from the second third of the time to the last [bytes].
_GROWTH = 16 * MEGABYTE
_BETWEEN_SAMPLES = 0.25
#: So many times the slowest hundredth of the first third of the time is that of the last, at most, on a quiet machine.
_STEADY = 2.0


@dataclass(frozen=True, slots=True)
class Soaked:
    """What came of it: requests, what was held afterwards, the growth of memory [bytes], and the slowest hundredth [s].

    growth: of each process, the median of the last third of the time less that of the second. p99: of each third.
    """

    asked: int
    seconds: float
    held: Held
    growth: dict[str, int]
    p99: tuple[float, ...]

    @property
    def faults(self) -> list[str]:
        grown = [f"{name} grew by {more / MEGABYTE:.1f} MB" for name, more in self.growth.items() if more > _GROWTH]
        return [*self.held.faults, *grown]

    @property
    def unsteady(self) -> list[str]:
        """What a machine that does something else meanwhile can cause, too."""
        first, _, last = self.p99
        return [f"p99 went from {first * 1000:.0f} to {last * 1000:.0f} ms"] if last > _STEADY * first else []


def soak(database: str, folder: Path, seconds: float, seed: int = 1) -> Soaked:
    """Have callers ask for everything there is, as fast as they are answered, and watch the memory meanwhile."""
    with served(folder, database, "--workers", "2") as service:
        load = Load(service, seed, CALLERS)
        load.run(1)
        processes, samples, stop = service.processes(), _Samples(), threading.Event()
        watching = threading.Thread(target=samples.take, args=(service, stop))
        watching.start()
        began = time.monotonic()
        load.run(seconds)
        stop.set()
        watching.join()
        load.settle()
        found = held(load) + Held(0, [], [*load.ledger.faults, *service.failures()])
        found += Held(0, [], [f"refused: {dict(load.ledger.refused)}"] if load.ledger.refused else [])
        found += Held(0, [], [] if service.processes() == processes else ["processes ended"])
    thirds: tuple[list[float], ...] = ([], [], [])
    for at, took in load.ledger.timings:
        if at >= began:
            thirds[min(2, int(3 * (at - began) / seconds))].append(took)
    return Soaked(load.ledger.asked, seconds, found, samples.growth(), tuple(quantiles(t, n=100)[98] for t in thirds))


class _Samples:
    """The memory of processes, looked at now and then."""

    def __init__(self) -> None:
        self._of: dict[int, list[int]] = {}

    def take(self, service: Served, stop: threading.Event) -> None:
        while not stop.wait(_BETWEEN_SAMPLES):
            for pid in service.processes():
                pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
                self._of.setdefault(pid, []).append(pages * 4096)

    def growth(self) -> dict[str, int]:
        thirds = {pid: len(sizes) // 3 for pid, sizes in self._of.items()}
        return {
            f"process {pid}": round(median(sizes[2 * thirds[pid] :]) - median(sizes[thirds[pid] : 2 * thirds[pid]]))
            for pid, sizes in self._of.items()
            if thirds[pid]
        }


@dataclass(frozen=True, slots=True)
class Overloaded:
    """What callers were told while there were too many of them, and right after; and what must not have been."""

    told: Counter[str]
    after: Counter[str]

    @property
    def faults(self) -> list[str]:
        wrong = set(self.told) - {"200", "503"} | (set(self.after) - {"200"})
        found = [f"told {dict(self.told)}, after it {dict(self.after)}"] if wrong else []
        return found + [f"no {status} among {dict(self.told)}" for status in ("200", "503") if not self.told[status]]


def overload(database: str, callers: int = 48, times: int = 3, components: int = 1_500) -> Overloaded:
    """Have many callers at once ask for long ratings; then, at once, one after the other.

    Those who would wait too long are refused (503, and when to come back) instead of all being answered too late.
    """
    document = line_of(components)
    right = json.loads(json.dumps(rate(document).as_dict()))["rating"]
    numbers = count()

    def ask(url: str) -> str:
        headers = {"Content-Type": "application/json"}
        # Each another panel: one that was answered before is answered from memory.
        panel = {**document["panel"], "title": f"number {next(numbers)}"}
        body = json.dumps({**document, "panel": panel}).encode()
        try:
            answer = requests.post(f"{url}/v1/ratings", data=body, headers=headers, timeout=60)
        except requests.RequestException as error:
            return f"no answer: {type(error).__name__}"
        if answer.status_code == 200:
            return "200" if answer.json()["rating"] == right else "200, but a wrong rating"
        return f"{answer.status_code}" + ("" if "Retry-After" in answer.headers else " without Retry-After")

    with running(database, workers=2, threads=2, wait_seconds=0.5) as url:
        with ThreadPoolExecutor(callers) as crowd:
            told = Counter(crowd.map(ask, [url] * callers * times))
        after = Counter(ask(url) for _ in range(5))
    return Overloaded(told, after)


def tried(nightly: bool) -> Iterator[Row]:
    """Yield two rows: a mix of requests for a while, and too many at once."""
    with tempfile.TemporaryDirectory(prefix="sccr-load-") as name:
        folder = Path(name)
        soaked = soak(f"sqlite:///{folder / 'soak.db'}", folder / "soak", NIGHTLY if nightly else USUAL)
        most = max(soaked.growth.values(), default=0)
        first, _, last = soaked.p99
        note = (
            f"{soaked.seconds:.0f} s, two workers; p99 {first * 1000:.0f} ms, in the last third {last / first:.2f} "
            f"of it; memory {most / MEGABYTE:+.1f} MB; {soaked.held.acknowledged:,} held"
        )
        found, what = [*soaked.faults, *soaked.unsteady], "ratings, orders, records, parts, reports, batches"
        yield Row(
            "load", what, soaked.asked, "requests", len(found), len(soaked.held.losses), "; ".join([note, *found[:1]])
        )
        crowd = overload(f"sqlite:///{folder / 'overload.db'}", times=10 if nightly else 3)
        told = ", ".join(f"{count} × {status}" for status, count in sorted(crowd.told.items()))
        note = "; ".join([f"{told}; right after: {crowd.after['200']} of {crowd.after.total()}", *crowd.faults[:1]])
        yield Row(
            "load", "48 at once, of what 4 can be done", crowd.told.total(), "requests", len(crowd.faults), note=note
        )
