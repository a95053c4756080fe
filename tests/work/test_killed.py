"""The service is killed in the middle of a batch and started again: each line comes out once."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import closing
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import requests

from api.store import open_store
from tests.api.conftest import PANELS
from tests.api.conftest import ROOT
from tests.api.conftest import database as database
from tests.api.conftest import postgresql_server as postgresql_server

PROGRAM = """
import json, sys
from pathlib import Path
from api.server import serve
from api.settings import Settings
serve(Settings(port=0, workers=1, database=sys.argv[1], **json.loads(sys.argv[2])))
"""
LINES = 300


@contextmanager
def started(address: str, **settings: Any) -> Iterator[tuple[subprocess.Popen[str], str]]:
    command = [sys.executable, "-c", PROGRAM, address, json.dumps(settings)]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, cwd=ROOT, stdout=pipe, text=True, start_new_session=True) as process:
        try:
            assert process.stdout is not None
            yield process, process.stdout.readline().strip()
        finally:
            if process.poll() is None:
                process.terminate()
                process.wait(timeout=60)


def eventually(holds: Callable[[], bool]) -> bool:
    ends = time.monotonic() + 60
    while time.monotonic() < ends:
        if holds():
            return True
        time.sleep(0.02)
    return False


def test_all_lines_come_out_once_though_the_service_is_killed_in_the_middle(database: str) -> None:
    panel = json.loads(PANELS[0].read_bytes())
    lines = [json.dumps({**panel, "panel": {"designation": f"P-{number}"}}) for number in range(1, LINES + 1)]
    with started(database, lease_seconds=1) as (process, url):
        headers = {"Content-Type": "application/x-ndjson"}
        body = "\n".join(lines).encode()
        taken = requests.post(f"{url}/v1/batches?record=true", data=body, headers=headers, timeout=60)
        assert taken.status_code == 202, taken.text
        place = taken.headers["Location"]
        assert eventually(lambda: requests.get(url + place, timeout=60).json()["done"] > 0)
        os.killpg(process.pid, signal.SIGKILL)
        process.wait(timeout=60)
    with closing(open_store(database)) as store:
        found = store.batch(place.rsplit("/", 1)[1])
        assert found is not None
        assert 0 < found.done < LINES, "it was not killed in the middle"
    with started(database, lease_seconds=1) as (process, url):
        assert eventually(lambda: requests.get(url + place, timeout=60).json()["state"] == "done")
        status = requests.get(url + place, timeout=60).json()
        results = [json.loads(line) for line in requests.get(f"{url}{place}/results", timeout=60).text.splitlines()]
    assert (status["total"], status["done"], status["failed"]) == (LINES, LINES, 0)
    assert [each["line"] for each in results] == list(range(1, LINES + 1))
    assert [each["result"]["panel"]["designation"] for each in results] == [f"P-{n}" for n in range(1, LINES + 1)]
    with closing(open_store(database)) as store:
        kept = [record.id for after in _pages(store) for record in after]
    assert sorted(kept) == sorted(each["record"] for each in results), "a record too many, or too few"


def _pages(store: Any) -> Iterator[Any]:
    after = None
    while True:
        page = store.records(after, 200)
        yield page.items
        after = page.next
        if after is None:
            return


def _descendants(session: int) -> dict[int, int]:
    """Return the processes of a session that are alive, each with its parent."""
    found = {}
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            try:
                state, parent, _, own = (folder / "stat").read_text().rsplit(")", 1)[1].split()[:4]
            except (FileNotFoundError, ProcessLookupError):
                continue
            if int(own) == session and state != "Z":
                found[int(folder.name)] = int(parent)
    return found


def _at_work(server: int) -> set[int]:
    """Return the processes that work: children of a watcher, which is of the session but no child of the server."""
    alive = _descendants(server)
    return {pid for pid, parent in alive.items() if parent in alive and parent != server}


def test_when_only_the_server_is_killed_what_works_beside_it_ends_and_the_port_is_free(tmp_path: Path) -> None:
    address = f"sqlite:///{tmp_path / 'own.db'}"
    with started(address) as (process, _):
        assert eventually(lambda: len(_at_work(process.pid)) == 1)
        process.kill()
        process.wait(timeout=60)
        assert eventually(lambda: not _descendants(process.pid))


def test_one_that_works_and_dies_is_replaced_and_all_end_with_the_server(tmp_path: Path) -> None:
    address = f"sqlite:///{tmp_path / 'own.db'}"
    with started(address) as (process, url):
        assert eventually(lambda: len(_at_work(process.pid)) == 1)
        [victim] = _at_work(process.pid)
        os.kill(victim, signal.SIGKILL)
        assert eventually(lambda: len(_at_work(process.pid) - {victim}) == 1)
        headers = {"Content-Type": "application/x-ndjson"}
        taken = requests.post(f"{url}/v1/batches", data=b"{}\n", headers=headers, timeout=60)
        assert eventually(lambda: requests.get(url + taken.headers["Location"], timeout=60).json()["state"] == "done")
        process.terminate()
        assert process.wait(timeout=60) == 0
        assert eventually(lambda: not _descendants(process.pid))
