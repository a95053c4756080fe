"""A real service under attack: what a request costs it, what it answers, and what is in its store afterwards."""

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from collections.abc import Mapping
from contextlib import closing
from contextlib import contextmanager
from dataclasses import dataclass
from dataclasses import field
from hashlib import sha256
from pathlib import Path
from typing import Any

import requests

from tests.api.conftest import ROOT
from tests.api.prepared import prepared_store
from tests.work.serving import at_work
from tests.work.serving import eventually
from tests.work.serving import processes_of

MEBIBYTE = 2**20
#: The most that one request may cost the process that answers it: processor time [s] and memory beyond what it had.
MOST_SECONDS = 3.0
MOST_MEMORY = 300 * MEBIBYTE
#: What a request may change: when a key was last used is no content, and there are no keys.
_NOT_CONTENT = ("alembic_version", "keys")
#: What the service notes by itself, some time after a catalogue has changed.
_OF_ITS_OWN = "'catalogue.review'"
_TICK = os.sysconf("SC_CLK_TCK")
_PROGRAM = """
import json, sys
from api.server import serve
from api.settings import Settings
given = json.loads(sys.argv[1])
serve(Settings(**{**given, "webhook_targets": tuple(given["webhook_targets"])}))
"""


@dataclass
class Cost:
    """The most that any of some requests cost: processor time [s], memory [bytes]; how many there were; the faults."""

    tried: int = 0
    seconds: float = 0.0
    memory: int = 0
    faults: list[str] = field(default_factory=list)

    @property
    def note(self) -> str:
        """What to print beside it."""
        told = f"at most {self.seconds:.1f} s of processor, {self.memory / MEBIBYTE:.0f} MiB"
        return "; ".join([told, *self.faults[:3]])


@dataclass
class Attacked:
    """The service, its address, the file of its log, and that of its store."""

    url: str
    session: int
    log: Path
    store: Path
    pid: int = 0

    def answering(self) -> int:
        """Return the process that answers: a child of the server that has none of its own, as the one beside it has."""
        if self.pid and Path(f"/proc/{self.pid}").exists():
            return self.pid
        alive = processes_of(self.session)
        [self.pid] = [pid for pid, parent in alive.items() if parent == self.session and pid not in alive.values()]
        return self.pid

    def content(self) -> dict[str, str]:
        """Return the digest of each table of the store."""
        found = {}
        with closing(sqlite3.connect(self.store, timeout=30)) as connection:
            names = [name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
            for name in sorted(set(names) - set(_NOT_CONTENT)):
                if "_fts" not in name:
                    rows = sorted(map(repr, connection.execute(f"SELECT * FROM {name}")))
                    rows = [row for row in rows if _OF_ITS_OWN not in row]
                    found[name] = sha256("\n".join(rows).encode()).hexdigest()
        return found

    def changed(self, before: Mapping[str, str]) -> list[str]:
        """Return what is wrong with the store: which of its tables are not as they were."""
        return [f"{name} was changed" for name, digest in self.content().items() if before.get(name) != digest]

    def ask(
        self,
        cost: Cost,
        method: str,
        path: str,
        body: bytes | None = None,
        headers: Mapping[str, str] | None = None,
        allowed: frozenset[int] = frozenset({400, 413, 422}),
    ) -> requests.Response | None:
        """Send a request; note what it cost and what is wrong with its answer."""
        cost.tried += 1
        pid = self.answering()
        began, had = _seconds(pid), _memory(pid, "VmRSS")
        _forget_most(pid)
        try:
            answer = _sent(method, self.url + path, body, headers or {})
        except requests.RequestException as error:
            cost.faults.append(f"{method} {path[:60]}: {type(error).__name__}")
            return None
        if not Path(f"/proc/{pid}").exists():
            cost.faults.append(f"{method} {path[:60]}: a worker died")
            return answer
        seconds, memory = _seconds(pid) - began, _memory(pid, "VmHWM") - had
        cost.seconds, cost.memory = max(cost.seconds, seconds), max(cost.memory, memory)
        wrong = list(_wrong(answer, allowed))
        wrong += [f"{memory >> 20} MiB"] if memory > MOST_MEMORY else []
        cost.faults += [f"{method} {path[:60]}: {each}" for each in wrong]
        return answer


def _sent(method: str, url: str, body: bytes | None, headers: Mapping[str, str]) -> requests.Response:
    """Send an address as it is written: requests would put a path in order, and take dots for folders."""
    with requests.Session() as session:
        prepared = session.prepare_request(requests.Request(method, "http://127.0.0.1/", data=body, headers=headers))
        prepared.url = url
        return session.send(prepared, timeout=120, allow_redirects=False)


def _wrong(answer: requests.Response, allowed: frozenset[int]) -> Iterator[str]:
    """Yield what must not be in an answer: another status, and a refusal that names neither place nor remedy."""
    if answer.status_code not in allowed:
        yield f"status {answer.status_code}: {answer.text[:100]}"
    if answer.status_code < 400:
        return
    if answer.headers.get("Content-Type") != "application/problem+json":
        yield f"{answer.headers.get('Content-Type')} in place of a problem"
        return
    told: dict[str, Any] = answer.json()
    if not told["detail"] or not told["title"]:
        yield "a problem without a word"
    errors = told.get("errors", [])
    if answer.status_code == 422 and not errors:
        yield "no place is named"
    for each in errors:
        if not each["code"] or not each["detail"] or not each["detail"].isprintable():
            yield f"no remedy, or one that does not print: {each['code']} {each['detail'][:80]!a}"
    if len(answer.content) > 2 * MEBIBYTE:
        yield f"an answer of {len(answer.content)} bytes"


def _seconds(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / _TICK


def _memory(pid: int, name: str) -> int:
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    return int(next(line.split()[1] for line in lines if line.startswith(f"{name}:"))) * 1024


def _forget_most(pid: int) -> None:
    Path(f"/proc/{pid}/clear_refs").write_text("5")


@contextmanager
def attacked(folder: Path, **settings: Any) -> Iterator[Attacked]:
    """Start a service of one process that answers, on a store with an order in it; open, since it is on loopback."""
    with closing(prepared_store(folder)):
        store = folder / "prepared.db"
    given = {"port": 0, "workers": 1, "threads": 4, "database": f"sqlite:///{store}", "webhook_targets": [], **settings}
    command = [sys.executable, "-c", _PROGRAM, json.dumps(given)]
    log = folder / "log"
    with (
        log.open("w") as told,
        subprocess.Popen(
            command, cwd=ROOT, stdout=subprocess.PIPE, stderr=told, text=True, start_new_session=True
        ) as process,
    ):
        try:
            assert process.stdout is not None
            url = process.stdout.readline().strip()
            assert url, log.read_text("utf-8")
            assert eventually(lambda: len(at_work(process.pid)) == 1)
            yield Attacked(url, process.pid, log, store)
        finally:
            process.terminate()
            process.wait(timeout=60)
