"""Several who write at once, on the real server with its processes: one of two wins, and nothing is lost."""

import threading
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
import requests

from .asking import NEW
from .asking import place_of
from .running import running

ORDER = "4711/2"
WRITERS = 4
CHANGES = 5


def at_once(*actions: Callable[[], Any]) -> list[Any]:
    """Do several things at the same moment, and return what came of each."""
    barrier = threading.Barrier(len(actions))
    results: list[Any] = [None] * len(actions)

    def do(number: int) -> None:
        barrier.wait()
        results[number] = actions[number]()

    threads = [threading.Thread(target=do, args=[number]) for number in range(len(actions))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    return results


@pytest.fixture
def panel(starter: dict[str, Any]) -> dict[str, Any]:
    del starter["panel"]["order"]
    return starter


def test_of_two_revisions_at_once_one_is_412_and_no_update_is_lost(database: str, panel: dict[str, Any]) -> None:
    with running(database) as url:
        place = url + place_of(ORDER, "AUG-01")

        def put(title: str, **condition: str) -> requests.Response:
            document = {**panel, "panel": {**panel["panel"], "title": title}}
            return requests.put(place, json=document, headers=condition, timeout=60)

        winners = []
        condition = dict(NEW)
        for turn in range(6):
            answers = at_once(*(partial(put, f"{turn} {name}", **condition) for name in ("left", "right")))
            assert sorted(answer.status_code for answer in answers) == [200 if turn else 201, 412]
            [won] = [answer for answer in answers if answer.ok]
            [lost] = [answer for answer in answers if not answer.ok]
            assert lost.json()["type"] == "/problems/precondition-failed"
            assert requests.get(place, timeout=60).json() == won.json()
            winners.append(won.json()["document"]["panel"]["title"])
            condition = {"If-Match": won.headers["ETag"]}
        history = requests.get(f"{place}/revisions", timeout=60).json()["revisions"]
        assert [revision["revision"] for revision in history] == [6, 5, 4, 3, 2, 1]
        stored = [requests.get(f"{place}?revision={number}", timeout=60).json() for number in range(1, 7)]
        assert [revision["document"]["panel"]["title"] for revision in stored] == winners
        records = requests.get(f"{url}/v1/records", timeout=60).json()["records"]
        assert len(records) == 6, "a refused revision has left a record"


def test_who_reads_again_after_412_loses_nothing(database: str, panel: dict[str, Any]) -> None:
    """Each writer adds its own words to the title, some of them at the same moment as another."""
    with running(database) as url:
        place = url + place_of(ORDER, "AUG-01")
        first = {**panel, "panel": {**panel["panel"], "title": "begun"}}
        assert requests.put(place, json=first, headers=NEW, timeout=60).status_code == 201

        def write(name: str) -> None:
            for number in range(CHANGES):
                while True:
                    read = requests.get(place, timeout=60)
                    document = read.json()["document"]
                    document["panel"]["title"] += f" {name}{number}"
                    condition = {"If-Match": read.headers["ETag"]}
                    if requests.put(place, json=document, headers=condition, timeout=60).status_code == 200:
                        break

        at_once(*(lambda name=name: write(name) for name in "abcd"[:WRITERS]))
        newest = requests.get(place, timeout=60).json()
        expected = {f"{name}{number}" for name in "abcd"[:WRITERS] for number in range(CHANGES)}
        assert newest["revision"] == 1 + WRITERS * CHANGES
        assert set(newest["document"]["panel"]["title"].split()[1:]) == expected


def test_parts_that_are_put_at_once_make_a_version_each(database: str) -> None:
    with running(database) as url:

        def put(number: int) -> int:
            part = {"part": f"NEW-{number}", "kind": "contactor"}
            return requests.put(f"{url}/v1/parts/NEW-{number}", json=part, headers=NEW, timeout=60).status_code

        assert at_once(*(lambda number=number: put(number) for number in range(6))) == [201] * 6
        assert requests.get(f"{url}/v1/catalogue", timeout=60).json()["number"] == 6
        assert len(requests.get(f"{url}/v1/parts", timeout=60).json()["parts"]) == 6


def test_one_request_that_is_sent_many_times_at_once_makes_one_record(database: str, panel: dict[str, Any]) -> None:
    with running(database) as url:
        address = f"{url}/v1/ratings?record=true"
        key = {"Idempotency-Key": "8e03978e"}

        def send() -> requests.Response:
            return requests.post(address, json=panel, headers=key, timeout=60)

        answers = at_once(*([send] * 6))
        assert {answer.status_code for answer in answers} <= {201, 409}
        assert len({answer.content for answer in answers if answer.ok}) == 1
        assert len(requests.get(f"{url}/v1/records", timeout=60).json()["records"]) == 1
