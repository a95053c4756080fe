"""Two services on one PostgreSQL, with load on both at once: nothing is lost, nothing is done twice."""

import json
import threading
import time
from collections import Counter
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import pytest
import requests
from click.testing import CliRunner
from sqlalchemy.engine import URL

from api.command_line import main
from api.store import Put
from api.store import Store
from api.store import open_store
from tests.store.databases import fresh

from .asking import NEW
from .asking import place_of
from .prepared import BETTER_CONTACTOR
from .prepared import BREAKER
from .prepared import CONTACTOR
from .prepared import ELEVATOR
from .receiving import Receiver
from .running import running

PANELS, WORDS, KEYS, PARTS, LINES = 4, 4, 10, 5, 40
NDJSON = {"Content-Type": "application/x-ndjson"}


@dataclass(frozen=True)
class Pair:
    """The addresses of both, and the store that they share."""

    urls: tuple[str, str]
    store: Store


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    made = Receiver()
    yield made
    made.close()


@pytest.fixture
def address(postgresql_server: URL, tmp_path: Path) -> Iterator[str]:
    with fresh(postgresql_server, tmp_path) as made:
        yield made


@pytest.fixture
def pair(address: str, receiver: Receiver) -> Iterator[Pair]:
    settings = {"workers": 1, "threads": 8, "work_processes": 1, "webhook_targets": [receiver.origin]}
    with closing(open_store(address)) as store:
        store.apply_changes([Put(BREAKER), Put(BETTER_CONTACTOR)], "desk")
        with running(address, **settings) as one, running(address, **settings) as other:
            assert one != other
            yield Pair((one, other), store)


def panel(designation: str, title: str = "") -> dict[str, Any]:
    return {**ELEVATOR, "panel": {"designation": designation, "title": title or designation}}


def at_once(actions: list[Callable[[], Any]]) -> list[Any]:
    """Do things in a thread each, begun at the same moment, and return what came of them."""
    barrier = threading.Barrier(len(actions))
    results: list[Any] = [None] * len(actions)

    def do(number: int) -> None:
        barrier.wait()
        results[number] = actions[number]()

    threads = [threading.Thread(target=do, args=[number]) for number in range(len(actions))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(180)
    assert all(result is not None for result in results), "one has failed, or is still at it"
    return results


def revise(url: str, designation: str, name: str) -> list[str]:
    """Add words to the title of a panel, each on what is there then; return the records of the revisions made."""
    place, made = url + place_of("TO-1", designation), []
    for number in range(WORDS):
        while True:
            read = requests.get(place, timeout=60)
            title = "begun" if read.status_code == 404 else read.json()["document"]["panel"]["title"]
            condition = NEW if read.status_code == 404 else {"If-Match": read.headers["ETag"]}
            answer = requests.put(
                place, json=panel(designation, f"{title} {name}{number}"), headers=condition, timeout=60
            )
            if answer.ok:
                made.append(answer.json()["record"])
                break
            assert answer.status_code == 412, answer.text
    return made


def rate_once(url: str, number: int) -> str:
    """Have a panel rated and kept under a key, again and again until it is answered; return what the answer is."""
    key = {"Idempotency-Key": f"order-{number}"}
    while True:
        answer = requests.post(f"{url}/v1/ratings?record=true", json=panel(f"K-{number}"), headers=key, timeout=60)
        if answer.ok:
            return answer.text
        assert answer.status_code == 409, answer.text
        time.sleep(0.02)


def put_parts(url: str, name: str) -> list[int]:
    """Put parts that nothing uses; return the versions of the catalogue that they made."""
    made = []
    for number in range(PARTS):
        part = {"part": f"NEW-{name}-{number}", "kind": "contactor"}
        answer = requests.put(f"{url}/v1/parts/{part['part']}", json=part, headers=NEW, timeout=60)
        assert answer.status_code == 201, answer.text
        made.append(int(answer.headers["Catalogue-Version"]))
    return made


def send_batch(url: str, name: str) -> str:
    lines = "\n".join(json.dumps(panel(f"{name}-{number}")) for number in range(LINES))
    answer = requests.post(f"{url}/v1/batches?record=true", data=lines.encode(), headers=NDJSON, timeout=60)
    assert answer.status_code == 202, answer.text
    return str(answer.json()["id"])


def ended(url: str, address: str) -> dict[str, Any]:
    ends = time.monotonic() + 120
    while time.monotonic() < ends:
        found: dict[str, Any] = requests.get(f"{url}{address}", timeout=60).json()
        if found["state"] == "done":
            return found
        time.sleep(0.05)
    raise AssertionError(f"{address} has not ended")


def every_record(store: Store) -> list[Any]:
    found, after = [], None
    while True:
        page = store.records(after, 200)
        found += page.items
        after = page.next
        if after is None:
            return found


def received(receiver: Receiver, count: int) -> list[dict[str, Any]]:
    """The messages, once there are so many; a short while later, lest one more comes."""
    ends = time.monotonic() + 120
    while len(receiver.received) < count and time.monotonic() < ends:
        time.sleep(0.05)
    time.sleep(0.6)  # twice as long as a worker waits before it looks again
    assert len({headers["webhook-id"] for headers, _ in receiver.received}) == len(receiver.received), "one came twice"
    return [json.loads(body) for _, body in receiver.received]


def test_with_load_on_both_nothing_is_lost_and_nothing_done_twice(pair: Pair, receiver: Receiver, address: str) -> None:
    one, other = pair.urls
    hook = {"url": receiver.origin, "events": ["batch.ended", "impact.ended", "panel.rating_changed"]}
    assert requests.post(f"{one}/v1/webhooks", json=hook, timeout=60).status_code == 201
    revising = [partial(revise, url, f"P-{n}", "ab"[i]) for n in range(PANELS) for i, url in enumerate(pair.urls)]
    keyed = [lambda url=url: [rate_once(url, number) for number in range(KEYS)] for url in (*pair.urls, *pair.urls)]
    putting = [partial(put_parts, url, "ab"[i]) for i, url in enumerate(pair.urls)]
    sending = [partial(send_batch, url, "ABCD"[i]) for i, url in enumerate((*pair.urls, *pair.urls))]
    done = at_once([*revising, *keyed, *putting, *sending])
    revised, rest = done[: len(revising)], done[len(revising) :]
    answers, versions, batches = rest[: len(keyed)], rest[len(keyed) : -len(sending)], rest[-len(sending) :]

    # Orders: every writer's words are there, and a revision for each.
    for number in range(PANELS):
        newest = requests.get(f"{other}{place_of('TO-1', f'P-{number}')}", timeout=60).json()
        assert newest["revision"] == 2 * WORDS
        assert sorted(newest["document"]["panel"]["title"].split()[1:]) == sorted(
            f"{name}{word}" for name in "ab" for word in range(WORDS)
        )
    # Keys: whatever service was asked, and however often, the same answer.
    assert answers[0] == answers[1] == answers[2] == answers[3]
    # Parts: each made one version, and no two the same.
    assert sorted(version for made in versions for version in made) == list(range(2, 2 + 2 * PARTS))
    # Batches: each line once, by whichever service; told by both alike.
    kept = []
    for name, batch in zip("ABCD", batches, strict=True):
        status = ended(one, f"/v1/batches/{batch}")
        assert (status["total"], status["done"], status["failed"]) == (LINES, LINES, 0)
        told = [requests.get(f"{url}/v1/batches/{batch}/results", timeout=60).text for url in pair.urls]
        assert told[0] == told[1]
        results = [json.loads(line) for line in told[0].splitlines()]
        assert [each["result"]["panel"]["designation"] for each in results] == [f"{name}-{n}" for n in range(LINES)]
        kept += [each["record"] for each in results]
    # Records: those that were acknowledged and no others.
    records = every_record(pair.store)
    by_order = [record.id for record in records if record.order is not None]
    assert sorted(by_order) == sorted(id for made in revised for id in made)
    keyed_documents = Counter(r.document["panel"]["designation"] for r in records if r.id not in {*by_order, *kept})
    assert keyed_documents == {f"K-{number}": 1 for number in range(KEYS)}
    assert len(records) == len(by_order) + KEYS + 4 * LINES == len({record.id for record in records})

    # What a run over the fleet finds that one service was asked for, the other tells; the end of each is told once.
    change = {"format": "impact/1", "changed_parts": [CONTACTOR]}
    prefer = {"Prefer": "respond-async", "Idempotency-Key": "impact"}
    runs = at_once([partial(requests.post, f"{u}/v1/impacts", json=change, headers=prefer, timeout=60) for u in (one,)])
    again = requests.post(f"{other}/v1/impacts", json=change, headers=prefer, timeout=60)
    assert (runs[0].status_code, again.text) == (202, runs[0].text)
    run = ended(other, f"/v1/impacts/{again.json()['id']}")
    assert (run["total"], run["counts"]["below_available"]) == (PANELS, PANELS)

    # Webhooks: the change is told of each panel once, though both services look for it.
    part = requests.get(f"{other}/v1/parts/MILLET-C9", timeout=60)
    changed = {"json": CONTACTOR, "headers": {"If-Match": part.headers["ETag"]}}
    assert requests.put(f"{one}/v1/parts/MILLET-C9", **changed, timeout=60).status_code == 200
    messages = received(receiver, len(batches) + 1 + PANELS)
    assert sorted(each["data"]["id"] for each in messages if each["type"] == "batch.ended") == sorted(batches)
    assert [each["data"]["id"] for each in messages if each["type"] == "impact.ended"] == [run["id"]]
    moved = [each["data"]["designation"] for each in messages if each["type"] == "panel.rating_changed"]
    assert sorted(moved) == [f"P-{number}" for number in range(PANELS)]
    assert len(messages) == len(batches) + 1 + PANELS

    # And all of it is as it was given.
    verified = CliRunner().invoke(main, ["verify", "--database", address])
    assert (verified.exit_code, verified.stdout) == (0, f"{len(records)} records rated again: 0 differ\n")
