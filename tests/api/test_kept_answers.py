"""A document that is sent again is answered as before, without being rated; and never as before a change."""

import json
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

import api.kept_answers
import api.ratings
import sccr.ul508a.rule_set
from api.kept_answers import KeptAnswer
from api.kept_answers import KeptAnswers
from api.store import Put
from api.store import Store
from sccr import rate
from sccr.ul508a.rule_set import UL508A

from .prepared import BETTER_CONTACTOR
from .prepared import BREAKER
from .prepared import CONTACTOR
from .prepared import ELEVATOR

BODY = json.dumps(ELEVATOR).encode()


def post(client: FlaskClient, body: bytes = BODY, query: str = "") -> TestResponse:
    return client.post(f"/v1/ratings{query}", data=body, content_type="application/json")


def made(client: FlaskClient) -> float:
    """How many ratings the service has made."""
    lines = client.get("/metrics").text.splitlines()
    return sum(float(line.split()[-1]) for line in lines if line.startswith("sccr_rating_seconds_count"))


def counted(client: FlaskClient, name: str) -> float:
    lines = client.get("/metrics").text.splitlines()
    return sum(float(line.split()[-1]) for line in lines if line.startswith(f"{name}_total"))


@pytest.fixture
def store(desk: Store) -> Store:
    desk.apply_changes([Put(BREAKER), Put(CONTACTOR)], "catalogue desk")
    return desk


@pytest.fixture
def first(store: Store, own: FlaskClient) -> TestResponse:
    return post(own)


def test_the_same_body_has_the_same_answer_and_is_rated_once(own: FlaskClient, first: TestResponse) -> None:
    again = post(own)

    passing = {"X-Request-Id", "Date"}
    assert again.data == first.data
    assert [each for each in again.headers if each[0] not in passing] == [
        each for each in first.headers if each[0] not in passing
    ]
    assert made(own) == 1
    assert (counted(own, "sccr_ratings"), counted(own, "sccr_ratings_repeated")) == (2, 1)
    assert counted(own, "sccr_ratings_limited") == 2


def test_what_is_asked_otherwise_is_another_answer(own: FlaskClient, first: TestResponse) -> None:
    answers = [post(own, query="?derivation=none"), post(own, query="?derivation=short"), post(own, BODY + b" ")]

    assert made(own) == 4
    assert [answer.json.get("derivation_extent") for answer in answers] == ["none", "short", None]
    assert answers[2].data == first.data


Change = Callable[[Store, pytest.MonkeyPatch], None]


def a_part(store: Store, _: pytest.MonkeyPatch) -> None:
    store.apply_changes([Put(BETTER_CONTACTOR)], "catalogue desk")


def another_part(store: Store, _: pytest.MonkeyPatch) -> None:
    store.apply_changes([Put({"part": "OAT-1", "kind": "motor"})], "catalogue desk")


def the_engine(_: Store, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(api.kept_answers, "ENGINE_VERSION", "99.0.0")
    patch.setattr(sccr.ul508a.rule_set, "ENGINE_VERSION", "99.0.0")


def a_table(_: Store, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(UL508A, "tables_digest", lambda _: "f" * 64)


@pytest.mark.parametrize("change", [a_part, another_part, the_engine, a_table])
def test_after_a_change_it_is_rated_anew(
    own: FlaskClient, store: Store, first: TestResponse, monkeypatch: pytest.MonkeyPatch, change: Change
) -> None:
    change(store, monkeypatch)
    after = post(own)

    assert after.headers["ETag"] != first.headers["ETag"]
    assert after.json == json.loads(json.dumps(rate(ELEVATOR, store.catalogue_for(ELEVATOR)).as_dict()))


def test_a_catalogue_that_changes_while_it_is_rated_deceives_nobody(
    own: FlaskClient, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The service has asked what the catalogue is; then it changes, and the document is rated with the other."""
    rate_document = api.ratings.rate_document

    def changed_meanwhile(document: dict[str, object]) -> object:
        store.apply_changes([Put(BETTER_CONTACTOR)], "catalogue desk")
        return rate_document(document)

    monkeypatch.setattr(api.ratings, "rate_document", changed_meanwhile)
    assert post(own).json["rating"]["current"] == "18 kA"
    monkeypatch.undo()
    store.apply_changes([Put(CONTACTOR)], "catalogue desk")

    assert post(own).json["rating"]["current"] == "5 kA"
    store.apply_changes([Put(BETTER_CONTACTOR)], "catalogue desk")
    assert post(own).json["rating"]["current"] == "18 kA"
    assert made(own) == 2


def test_a_refusal_is_not_kept_and_neither_is_what_makes_a_record(own: FlaskClient, store: Store) -> None:
    assert [post(own, b"{}").status_code for _ in range(2)] == [422, 422]
    records = {post(own, query="?record=true").json["id"] for _ in range(2)}

    assert len(records) == 2
    assert counted(own, "sccr_ratings_repeated") == 0


def test_many_at_once_get_what_is_theirs(own_app: object, store: Store) -> None:
    bodies = [json.dumps({**ELEVATOR, "panel": {"designation": f"P-{n}"}}).encode() for n in range(5)]

    def ask(number: int) -> tuple[int, str]:
        client: FlaskClient = own_app.test_client()  # type: ignore[attr-defined]
        return number % 5, post(client, bodies[number % 5]).json["panel"]["designation"]

    with ThreadPoolExecutor(8) as threads:
        assert all(found == f"P-{number}" for number, found in threads.map(ask, range(100)))


def answer(length: int) -> KeptAnswer:
    return KeptAnswer(b"x" * length, "tag", (("rated", True, ()),))


def key(number: int) -> api.kept_answers.Key:
    return bytes([number]), "full", None, ()


def test_it_keeps_so_many_bytes_and_lets_go_of_what_was_longest_not_asked_for() -> None:
    kept = KeptAnswers(4_000)
    for number in range(4):
        kept.keep(key(number), answer(500))
    assert kept.find(key(0)) is not None
    kept.keep(key(4), answer(500))

    assert [kept.find(key(number)) is not None for number in range(5)] == [True, False, True, True, True]


def test_what_is_kept_again_takes_no_more_room_and_what_is_too_long_is_not_kept() -> None:
    kept = KeptAnswers(4_000)
    for _ in range(20):
        kept.keep(key(0), answer(500))
    kept.keep(key(1), answer(500))
    kept.keep(key(2), answer(4_001))

    assert [kept.find(key(number)) is not None for number in range(3)] == [True, True, False]
