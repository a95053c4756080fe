"""How much memory the processes of the service take while a long batch goes in and its results come out."""

import time
from dataclasses import dataclass
from pathlib import Path

import requests

from .serving import NDJSON
from .serving import at_work
from .serving import eventually
from .serving import processes_of
from .serving import started

MEGABYTE = 10**6


@dataclass(frozen=True, slots=True)
class Run:
    """What went in, what came out [bytes], how long it took [s], and the most memory of each process [bytes].

    before: at the end of a short batch of such lines; after: at the end of the long one.
    """

    sent: int
    fetched: int
    seconds: float
    before: dict[str, int]
    after: dict[str, int]

    @property
    def growth(self) -> dict[str, int]:
        return {name: self.after[name] - self.before[name] for name in self.after}


def long_batch(database: str, line: bytes, size: int) -> Run:
    """Send a batch of about `size` bytes, of one line again and again, to a service of its own; fetch the results."""
    with started(database) as (process, url):
        assert eventually(lambda: len(at_work(process.pid)) == 1)
        names = _names(process.pid)
        _sent_and_fetched(url, line, 8 * MEGABYTE)
        before = {name: _most_memory(pid) for pid, name in names.items()}
        began = time.monotonic()
        sent, fetched = _sent_and_fetched(url, line, size)
        seconds = time.monotonic() - began
        after = {name: _most_memory(pid) for pid, name in names.items()}
        assert _names(process.pid) == names, "a process was replaced"
    return Run(sent, fetched, seconds, before, after)


def _names(server: int) -> dict[int, str]:
    working = at_work(server)
    others = {pid: "answers" if parent == server else "watches" for pid, parent in processes_of(server).items()}
    return {**others, server: "server", **dict.fromkeys(working, "rates")}


def _most_memory(pid: int) -> int:
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    [most] = [line.split()[1] for line in lines if line.startswith("VmHWM:")]
    return int(most) * 1024


def _sent_and_fetched(url: str, line: bytes, size: int) -> tuple[int, int]:
    count = size // len(line)
    taken = requests.post(f"{url}/v1/batches", data=(line for _ in range(count)), headers=NDJSON, timeout=120)
    assert taken.status_code == 202, taken.text
    place = url + taken.headers["Location"]
    assert eventually(lambda: bool(requests.get(place, timeout=60).json()["state"] == "done"), 600, 0.1)
    fetched = lines = 0
    with requests.get(f"{place}/results", stream=True, timeout=60) as results:
        for piece in results.iter_content(2**16):
            fetched += len(piece)
            lines += piece.count(b"\n")
    assert lines == count
    return count * len(line), fetched
