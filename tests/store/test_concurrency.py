"""Several at once, in threads and in processes: of two who want the same one gets it, and nothing is lost."""

import json
import os
import signal
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from typing import Any

import pytest

from api.store import Conflict
from api.store import Exists
from api.store import FinishedLine
from api.store import NewRecord
from api.store import Put
from api.store import Store
from api.store import open_store

from .conftest import ROOT
from .conftest import panel
from .conftest import rated

CALLERS = 6


def at_once(*actions: Callable[[], Any]) -> list[Any]:
    """Run actions in a thread each, all released at the same moment; return what each returned or raised."""
    barrier = threading.Barrier(len(actions))

    def run(action: Callable[[], Any]) -> Any:
        barrier.wait()
        try:
            return action()
        except (Conflict, Exists) as refused:
            return refused

    with ThreadPoolExecutor(len(actions)) as threads:
        return list(threads.map(run, actions))


@pytest.fixture(scope="module")
def new() -> NewRecord:
    return rated(panel())


@pytest.mark.parametrize("round_", range(5))
def test_of_writers_with_the_same_etag_one_wins(store: Store, new: NewRecord, round_: int) -> None:
    first = store.put_revision("A-1", "Line 1", new)
    put = [lambda: store.put_revision("A-1", "Line 1", new, expected_etag=first.etag)] * CALLERS
    kinds = Counter(type(outcome).__name__ for outcome in at_once(*put))
    assert kinds == {"Revision": 1, "Conflict": CALLERS - 1}
    assert [each.revision for each in store.revisions("A-1", "Line 1").items] == [2, 1]
    assert len(store.records().items) == 2


@pytest.mark.parametrize("round_", range(5))
def test_of_writers_who_create_one_wins(store: Store, new: NewRecord, round_: int) -> None:
    put = [lambda: store.put_revision("A-1", "Line 1", new, create_only=True)] * CALLERS
    kinds = Counter(type(outcome).__name__ for outcome in at_once(*put))
    assert kinds == {"Revision": 1, "Exists": CALLERS - 1}


def test_writers_without_an_etag_each_get_a_number(store: Store, new: NewRecord) -> None:
    outcomes = at_once(*[lambda: store.put_revision("A-1", "Line 1", new)] * CALLERS)
    assert sorted(each.revision for each in outcomes) == list(range(1, CALLERS + 1))


def test_changes_of_the_catalogue_follow_each_other(store: Store) -> None:
    def put(name: str) -> Callable[[], Any]:
        return lambda: store.apply_changes([Put({"part": name, "kind": "motor"})], name)

    outcomes = at_once(*[put(f"RYE-{number}") for number in range(CALLERS)])
    assert sorted(each.number for each in outcomes) == list(range(1, CALLERS + 1))
    assert sorted(each.parts for each in outcomes) == list(range(1, CALLERS + 1))
    assert len(list(store.every_part())) == CALLERS


def test_of_changes_to_one_version_one_wins(store: Store) -> None:
    put = [lambda: store.apply_changes([Put({"part": "RYE", "kind": "motor"})], "me", expected_version=0)] * CALLERS
    kinds = Counter(type(outcome).__name__ for outcome in at_once(*put))
    assert kinds == {"CatalogueVersion": 1, "Conflict": CALLERS - 1}


@pytest.mark.parametrize("round_", range(5))
def test_one_of_the_same_requests_is_done(store: Store, round_: int) -> None:
    states = Counter(claim.state for claim in at_once(*[lambda: store.claim("POST", "key", "print")] * CALLERS))
    assert states == {"new": 1, "in_flight": CALLERS - 1}


def test_a_lost_request_is_taken_over_once(store: Store, clock: Any) -> None:
    store.claim("POST", "key", "print")
    clock.move(61)
    states = Counter(claim.state for claim in at_once(*[lambda: store.claim("POST", "key", "print")] * CALLERS))
    assert states == {"new": 1, "in_flight": CALLERS - 1}


def test_one_message_is_sent_by_one_sender(store: Store) -> None:
    store.add_webhook("https://erp.example/", "whsec_", ["done"], "me")
    made = [store.announce("done", "{}")[0].id for _ in range(20)]
    due = at_once(*[lambda: store.due_deliveries(5)] * CALLERS)
    taken = [delivery.id for each in due for delivery in each]
    assert len(taken) == len(set(taken))
    rest = [delivery.id for delivery in store.due_deliveries(20)]  # what others held locked is passed over, not lost
    assert sorted(taken + rest) == sorted(made)


WORK = """
import sys
from api.store import FinishedLine, open_store
store, worker = open_store(sys.argv[1]), sys.argv[2]
print("ready", flush=True)
sys.stdin.readline()
while lines := store.claim_lines(worker, 7):
    for line in lines:
        print(line.line, flush=True)
    done = [FinishedLine(line.batch, line.line, line.input.decode()) for line in lines]
    outcome = store.finish_lines(worker, done)
    assert len(outcome.accepted) == len(lines)
    for batch in outcome.ended:
        print("ended", flush=True)
"""


def started(program: str, *arguments: str) -> subprocess.Popen[str]:
    process = subprocess.Popen(
        [sys.executable, "-c", program, *arguments],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n", process.communicate()
    return process


def test_workers_in_processes_never_get_one_line_twice_and_end_the_batch_once(url: str) -> None:
    with closing(open_store(url)) as store:
        batch = store.create_batch("ERP")
        store.add_lines(batch.id, [f'"{number}"'.encode() for number in range(1, 301)])
        store.seal(batch.id)
        workers = [started(WORK, url, f"worker {number}") for number in range(3)]
        for worker in workers:
            assert worker.stdin is not None
            worker.stdin.write("go\n")
            worker.stdin.flush()
        said = [worker.communicate(timeout=120) for worker in workers]
        assert [worker.returncode for worker in workers] == [0, 0, 0], said
        words = [word for out, _ in said for word in out.split()]
        assert words.count("ended") == 1
        # SKIP LOCKED may leave a worker with nothing while others still hold the last lines: but never a line undone.
        assert Counter(word for word in words if word != "ended") == {str(line): 1 for line in range(1, 301)}
        there = store.batch(batch.id)
        assert there is not None
        assert (there.state, there.done, there.failed) == ("done", 300, 0)
        assert [result.result for result in store.results(batch.id)] == [f'"{number}"' for number in range(1, 301)]


def test_threads_that_finish_the_last_lines_together_end_the_batch_once(store: Store) -> None:
    for _ in range(5):
        batch = store.create_batch("ERP")
        store.add_lines(batch.id, [b"line"] * CALLERS)
        store.seal(batch.id)
        for number in range(CALLERS):
            store.claim_lines(f"worker {number}", 1)

        def finish(number: int, name: str) -> Callable[[], Any]:
            return lambda: store.finish_lines(f"worker {number}", [FinishedLine(name, number + 1, "{}")])

        outcomes = at_once(*[finish(number, batch.id) for number in range(CALLERS)])
        assert [len(outcome.accepted) for outcome in outcomes] == [1] * CALLERS
        assert sum(len(outcome.ended) for outcome in outcomes) == 1


APPEND = """
import json, sys
from api.store import NewRecord, open_store
store = open_store(sys.argv[1])
document, result = json.loads(sys.argv[2])
print("ready", flush=True)
sys.stdin.readline()
while True:
    revision = store.put_revision("A-1", sys.argv[3], NewRecord(document, result, "ERP"))
    print(revision.record_id, flush=True)  # acknowledged: from here on it must never be lost
"""


@pytest.mark.parametrize("after", [1, 23])
def test_what_was_acknowledged_survives_a_kill(url: str, new: NewRecord, after: int) -> None:
    """Two writers are killed in the middle of their work, without a chance to end it."""
    given = json.dumps([new.document, new.result])
    writers = [started(APPEND, url, given, f"Line {number}") for number in range(2)]
    acknowledged = []
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
    for writer in writers:
        assert writer.stdout is not None
        acknowledged += [writer.stdout.readline().strip() for _ in range(after)]
    for writer in writers:
        os.kill(writer.pid, signal.SIGKILL)
    for writer in writers:
        assert writer.stdout is not None
        # Not communicate(), which would pass over what readline() has taken from the pipe already.
        acknowledged += [line for line in writer.stdout if line.endswith("\n")]
        _, error = writer.communicate(timeout=60)
        assert writer.returncode == -signal.SIGKILL, error
    names = {line.strip() for line in acknowledged}
    assert len(names) >= 2 * after
    with closing(open_store(url)) as store:
        assert store.check()
        whole_and_in_pairs(store, names)
        store.put_revision("A-1", "Line 0", new)  # and the store goes on


def whole_and_in_pairs(store: Store, acknowledged: set[str]) -> None:
    """Every record acknowledged is there, none is damaged, and none is without its revision or the other way round."""
    records = {}
    after: str | None = ""
    while after is not None:
        page = store.records(after, 200)
        records.update({record.id: record for record in page.items})
        after = page.next
    assert acknowledged <= records.keys()
    assert all(record.intact for record in records.values())
    assert len(records) <= len(acknowledged) + 2, "of each writer one may be kept and not yet acknowledged"
    placed = {
        each.record_id: (each.designation, each.revision)
        for number in range(2)
        for each in store.revisions("A-1", f"Line {number}", limit=10_000).items
    }
    assert placed == {record.id: (record.designation, record.revision) for record in records.values()}
    for number in range(2):
        numbers = sorted(revision for designation, revision in placed.values() if designation == f"Line {number}")
        assert numbers == list(range(1, len(numbers) + 1))


def test_a_reader_is_never_shown_half_a_revision(store: Store, new: NewRecord) -> None:
    stop = threading.Event()
    torn = []

    def read() -> None:
        while not stop.is_set():
            found = store.revision("A-1", "Line 1")
            record = None if found is None else store.record(found.record_id)
            if found is not None and (record is None or record.revision != found.revision):
                torn.append(found)

    with ThreadPoolExecutor(2) as threads:
        reading = threads.submit(read)
        for _ in range(30):
            store.put_revision("A-1", "Line 1", new)
        stop.set()
        reading.result()
    assert torn == []
