"""Whoever rates a batch is killed in the middle of it: each line comes out once, in the order of the lines."""

import json
import os
import signal
from collections.abc import Iterator
from contextlib import closing
from contextlib import suppress
from pathlib import Path
from typing import Any

import requests
from sqlalchemy import text

from api.store import open_store
from tests.api.conftest import PANELS
from tests.api.conftest import database as database
from tests.api.conftest import postgresql_server as postgresql_server
from tests.bench.lines import line_of

from .serving import NDJSON
from .serving import at_work
from .serving import eventually
from .serving import processes_of
from .serving import started

LINES = 300


def test_all_lines_come_out_once_though_the_service_is_killed_in_the_middle(database: str) -> None:
    panel = json.loads(PANELS[0].read_bytes())
    lines = [json.dumps({**panel, "panel": {"designation": f"P-{number}"}}) for number in range(1, LINES + 1)]
    with started(database, lease_seconds=1) as (process, url):
        body = "\n".join(lines).encode()
        taken = requests.post(f"{url}/v1/batches?record=true", data=body, headers=NDJSON, timeout=60)
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


def test_a_line_that_ends_whoever_rates_it_is_told_so_and_the_others_are_rated(database: str) -> None:
    """The worker is killed whenever it holds the line of a panel that takes it some tenths of a second."""
    small = json.loads(PANELS[0].read_bytes())
    lines = [{**small, "panel": {"designation": f"P-{number}"}} for number in range(1, 12)]
    lines[6] = line_of(2_000)
    with started(database, lease_seconds=0.2) as (process, url), closing(open_store(database)) as store:
        body = "\n".join(map(json.dumps, lines)).encode()
        headers = {**NDJSON, "X-Request-Id": "deadly"}
        taken = requests.post(f"{url}/v1/batches", data=body, headers=headers, timeout=60)
        assert taken.status_code == 202, taken.text
        place = taken.headers["Location"]
        killed: list[int] = []

        def kill_who_holds_it() -> bool:
            for worker in _holders(store, 7):
                if worker not in killed and worker in at_work(process.pid):
                    os.kill(worker, signal.SIGKILL)
                    killed.append(worker)
            found = store.batch(place.rsplit("/", 1)[1])
            return found is not None and found.state == "done"

        assert eventually(kill_who_holds_it)
        results = [json.loads(line) for line in requests.get(f"{url}{place}/results", timeout=60).text.splitlines()]
        status = requests.get(url + place, timeout=60).json()
    assert len(killed) == 3
    assert (status["done"], status["failed"]) == (11, 1)
    assert [each["line"] for each in results] == list(range(1, 12))
    assert [each["status"] for each in results] == [200] * 6 + [500] + [200] * 4
    problem = results[6]["problem"]
    assert (problem["type"], problem["request_id"]) == ("/problems/line-given-up", "deadly")
    assert problem["detail"].startswith("This line ended the process that rated it, 3 times")


def _holders(store: Any, line: int) -> list[int]:
    """Return the process that rates a line; a worker's name begins with the number of its process.

    Whoever is lent the line a fourth time does not rate it, and is not killed by it.
    """
    with store._reading() as connection:
        query = text("SELECT claimed_by FROM batch_items WHERE line = :line AND result IS NULL AND attempts <= 3")
        names = connection.execute(query, {"line": line}).scalars().all()
    return [int(name.partition("-")[0]) for name in names if name]


def _pages(store: Any) -> Iterator[Any]:
    after = None
    while True:
        page = store.records(after, 200)
        yield page.items
        after = page.next
        if after is None:
            return


def test_when_only_the_server_is_killed_what_works_beside_it_ends_and_the_port_is_free(tmp_path: Path) -> None:
    address = f"sqlite:///{tmp_path / 'own.db'}"
    with started(address) as (process, _):
        assert eventually(lambda: len(at_work(process.pid)) == 1)
        process.kill()
        process.wait(timeout=60)
        assert eventually(lambda: not processes_of(process.pid))


def test_a_worker_that_the_server_left_behind_ends_though_a_caller_keeps_it_busy(tmp_path: Path) -> None:
    """Otherwise it would hold the port until its grace is over, here an hour, and no other could be started."""
    with (
        started(f"sqlite:///{tmp_path / 'own.db'}", graceful_seconds=3600) as (process, url),
        requests.Session() as caller,
    ):
        assert caller.get(f"{url}/health/live", timeout=60).ok
        process.kill()
        process.wait(timeout=60)

        def ended() -> bool:
            with suppress(requests.ConnectionError):
                caller.get(f"{url}/health/live", timeout=60)
            return not processes_of(process.pid)

        assert eventually(ended)


def test_one_that_works_and_dies_is_replaced_and_all_end_with_the_server(tmp_path: Path) -> None:
    address = f"sqlite:///{tmp_path / 'own.db'}"
    with started(address) as (process, url):
        assert eventually(lambda: len(at_work(process.pid)) == 1)
        [victim] = at_work(process.pid)
        os.kill(victim, signal.SIGKILL)
        assert eventually(lambda: len(at_work(process.pid) - {victim}) == 1)
        taken = requests.post(f"{url}/v1/batches", data=b"{}\n", headers=NDJSON, timeout=60)
        assert eventually(lambda: requests.get(url + taken.headers["Location"], timeout=60).json()["state"] == "done")
        process.terminate()
        assert process.wait(timeout=60) == 0
        assert eventually(lambda: not processes_of(process.pid))
