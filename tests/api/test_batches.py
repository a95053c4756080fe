"""Batches: taken in whole or not at all, rated line by line, told in the order in which they were sent."""

import json
import resource
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from api import create_app
from api.settings import Settings
from api.store import Put
from api.store import Store
from api.store import open_store
from api.work.rating_batches import BatchWork
from sccr import Catalogue
from sccr import rate

from .conftest import CATALOGUE
from .conftest import PANELS

NDJSON = {"Content-Type": "application/x-ndjson"}


def written(panels: Iterable[Any]) -> bytes:
    return b"".join(json.dumps(panel).encode() + b"\n" for panel in panels)


def post(client: FlaskClient, body: bytes, query: str = "", **headers: str) -> TestResponse:
    return client.post(f"/v1/batches{query}", data=body, headers={**NDJSON, **headers})


def work_off(app: Flask, name: str = "worker") -> None:
    work = BatchWork(name)
    with app.app_context():
        while work.do_some():
            pass


def results(client: FlaskClient, id: str, query: str = "") -> list[dict[str, Any]]:
    response = client.get(f"/v1/batches/{id}/results{query}")
    assert response.status_code == 200
    assert response.content_type == "application/x-ndjson"
    return [json.loads(line) for line in response.data.splitlines()]


@pytest.fixture
def desk(database: str) -> Iterator[Store]:
    """A store of its own for one test, of either kind."""
    with closing(open_store(database)) as opened:
        yield opened


@pytest.fixture
def demo() -> list[Any]:
    return [json.loads(path.read_bytes()) for path in PANELS]


def test_each_line_is_rated_as_a_request_of_its_own(
    own_app: Flask, own: FlaskClient, demo: list[Any], catalogue: Catalogue
) -> None:
    response = post(own, written(demo))
    assert response.status_code == 202
    batch = response.json
    assert batch is not None
    assert response.headers["Location"] == f"/v1/batches/{batch['id']}" == batch["links"]["self"]
    assert (batch["state"], batch["total"], batch["done"]) == ("queued", len(demo), 0)
    assert response.headers["Retry-After"] == "1"
    assert results(own, batch["id"]) == []

    work_off(own_app)

    ended = own.get(response.headers["Location"])
    assert ended.json is not None
    assert (ended.json["state"], ended.json["done"], ended.json["failed"]) == ("done", len(demo), 0)
    assert "Retry-After" not in ended.headers
    got = results(own, batch["id"])
    assert [each["line"] for each in got] == list(range(1, len(demo) + 1))
    assert [each["result"] for each in got] == [json.loads(json.dumps(rate(p, catalogue).as_dict())) for p in demo]


@pytest.mark.parametrize("extent", ["short", "none"])
@pytest.mark.parametrize("record", ["true", "false"])
def test_results_have_so_much_of_the_derivation_as_was_asked_for_and_records_all_of_it(
    own_app: Flask, own: FlaskClient, demo: list[Any], catalogue: Catalogue, extent: str, record: str
) -> None:
    batch = post(own, written(demo), f"?derivation={extent}&record={record}").json
    assert batch is not None
    assert batch["derivation"] == extent

    work_off(own_app)

    got = results(own, batch["id"])
    assert [each["result"] for each in got] == [
        json.loads(json.dumps(rate(panel, catalogue).as_dict(extent))) for panel in demo
    ]
    for each, panel in zip(got, demo, strict=True):
        if record == "true":
            kept = own.get(f"/v1/records/{each['record']}/rating").json
            assert kept == json.loads(json.dumps(rate(panel, catalogue).as_dict()))


def test_another_word_for_the_derivation_is_refused_and_nothing_is_taken_in(own: FlaskClient) -> None:
    answer = post(own, b"{}\n", "?derivation=brief")

    assert answer.status_code == 400
    assert [each["pointer"] for each in answer.json["errors"]] == ["/query/derivation"]
    assert own.get("/v1/batches").json["batches"] == []


def test_what_is_wrong_with_a_line_is_told_as_to_a_request_of_its_own(own_app: Flask, own: FlaskClient) -> None:
    good = PANELS[0].read_text("utf-8").replace("\n", " ")
    lines = [good, "", "{", "[]", json.dumps({"format": "panel/1"}), good, '{"a":1,"a":2}']
    id = post(own, "\n".join(lines).encode(), **{"X-Request-Id": "batch-of-errors"}).get_json()["id"]
    work_off(own_app)
    got = results(own, id)
    assert [each["status"] for each in got] == [200, 400, 400, 422, 422, 200, 422]
    for each, line in zip(got, lines, strict=True):
        if each["status"] != 200:
            alone = own.post("/v1/ratings", data=line, headers={"Content-Type": "application/json"}).get_json()
            told = each["problem"]
            assert (told["type"], told["title"]) == (alone["type"], alone["title"])
            assert told["errors"] == alone["errors"]
            assert told["request_id"] == "batch-of-errors"
            [same] = [json.loads(found) for found in own.get(told["instance"]).data.splitlines()]
            assert same == each
    status = own.get(f"/v1/batches/{id}").get_json()
    assert (status["state"], status["done"], status["failed"]) == ("done", 7, 5)


def test_a_line_that_is_too_long_is_told_so_and_the_others_are_rated(desk: Store) -> None:
    app = create_app(Settings(catalogue=CATALOGUE, max_body_bytes=40_000), desk)
    good = json.dumps(json.loads(PANELS[0].read_bytes())).encode()
    assert len(good) < 40_000
    id = post(app.test_client(), b"\n".join([b" " * 1_000_000 + good, good])).get_json()["id"]
    work_off(app)
    got = results(app.test_client(), id)
    assert [each["status"] for each in got] == [413, 200]
    assert got[0]["problem"]["type"] == "/problems/body-too-large"


def test_results_can_be_read_on_from_any_line(own_app: Flask, own: FlaskClient) -> None:
    id = post(own, b"{}\n" * 250).get_json()["id"]
    work_off(own_app)
    assert [each["line"] for each in results(own, id)] == list(range(1, 251))
    assert [each["line"] for each in results(own, id, "?after=247")] == [248, 249, 250]
    assert [each["line"] for each in results(own, id, "?after=99&limit=120")] == list(range(100, 220))
    assert own.get(f"/v1/batches/{id}/results?after=-1").status_code == 400


def test_while_it_runs_the_results_end_before_the_first_line_that_is_not_done(
    own_app: Flask, own: FlaskClient, desk: Store
) -> None:
    id = post(own, b"{}\n" * 5).get_json()["id"]
    [lost] = desk.claim_lines("another worker", 1)
    assert lost.line == 1
    work_off(own_app)
    status = own.get(f"/v1/batches/{id}").get_json()
    assert (status["state"], status["done"]) == ("running", 4)
    assert results(own, id) == []


def test_records_are_kept_where_that_is_asked(own_app: Flask, own: FlaskClient, demo: list[Any], desk: Store) -> None:
    id = post(own, written([*demo[:2], {}]), "?record=true").get_json()["id"]
    work_off(own_app)
    *good, bad = results(own, id)
    assert "record" not in bad
    for each, panel in zip(good, demo, strict=False):
        record = desk.record(each["record"])
        assert record is not None
        assert (record.document, record.result, record.asked_by) == (panel, each["result"], "open")
        assert record.intact
    assert len(desk.records().items) == 2


def test_all_lines_are_rated_by_the_catalogue_of_the_moment_when_they_were_sent(
    own_app: Flask, own: FlaskClient, desk: Store, demo: list[Any]
) -> None:
    batch = post(own, written(demo[:1])).get_json()
    part = next(iter(desk.every_part())).document
    desk.apply_changes([Put({**part, "description": "changed"})], "test")
    work_off(own_app)
    [got] = results(own, batch["id"])
    version = desk.catalogue_version(batch["catalogue_version"])
    assert version is not None
    assert got["result"]["method"]["catalogue_digest"] == version.digest
    assert batch["catalogue_version"] == 1


def test_cancelled_nothing_more_is_rated_and_what_is_done_stays(own_app: Flask, own: FlaskClient, desk: Store) -> None:
    id = post(own, b"{}\n" * 5).get_json()["id"]
    with own_app.app_context():
        assert BatchWork("worker").do_some()  # begins with one line
    cancelled = own.delete(f"/v1/batches/{id}").get_json()
    assert (cancelled["state"], cancelled["done"]) == ("cancelled", 1)
    work_off(own_app)
    assert [each["line"] for each in results(own, id)] == [1]
    assert own.delete(f"/v1/batches/{id}").get_json()["state"] == "cancelled"
    actions = [entry.action for entry in desk.audit().items]
    assert actions.count("batch.cancel") == 1
    assert actions.count("batch.create") == 1


def test_the_same_key_makes_one_batch(own: FlaskClient, desk: Store) -> None:
    first = post(own, b"{}\n", **{"Idempotency-Key": '"batch-1"'})
    again = post(own, b"{}\n", **{"Idempotency-Key": "batch-1"})
    other = post(own, b"{}\n{}\n", **{"Idempotency-Key": "batch-1"})
    assert (first.status_code, again.status_code, other.status_code) == (202, 202, 422)
    assert again.headers["Idempotent-Replayed"] == "true"
    assert again.headers["Location"] == first.headers["Location"]
    assert again.data == first.data
    assert len(desk.batches().items) == 1


@pytest.mark.parametrize(
    ("request_it", "status"),
    [
        (lambda c: c.post("/v1/batches", data=b"{}", headers={"Content-Type": "application/json"}), 415),
        (lambda c: post(c, b"{}", **{"Content-Encoding": "gzip"}), 415),
        (lambda c: post(c, b""), 422),
        (lambda c: post(c, b"{}", "?records=true"), 400),
        (lambda c: post(c, b"{}", Accept="text/html"), 406),
        (lambda c: c.get("/v1/batches/none"), 404),
        (lambda c: c.get("/v1/batches/none/results"), 404),
        (lambda c: c.delete("/v1/batches/none"), 404),
        (lambda c: c.get("/v1/batches?state=over"), 400),
    ],
)
def test_what_is_refused(
    own: FlaskClient, desk: Store, request_it: Callable[[FlaskClient], TestResponse], status: int
) -> None:
    response = request_it(own)
    assert response.status_code == status
    assert response.content_type == "application/problem+json"
    assert desk.batches().items == ()


def test_more_than_is_taken_at_once_is_refused(desk: Store) -> None:
    client = create_app(Settings(max_batch_bytes=1_000), desk).test_client()
    assert post(client, b" " * 1_001).status_code == 413
    assert desk.batches().items == ()


def test_the_list_is_paged_and_filtered(own: FlaskClient) -> None:
    ids = [post(own, b"{}\n").get_json()["id"] for _ in range(3)]
    own.delete(f"/v1/batches/{ids[0]}")
    first = own.get("/v1/batches?limit=2").get_json()
    assert [batch["id"] for batch in first["batches"]] == [ids[2], ids[1]]
    rest = own.get(f"/v1/batches?limit=2&cursor={first['next']}").get_json()
    assert [batch["id"] for batch in rest["batches"]] == [ids[0]]
    assert rest["next"] is None
    cancelled = own.get("/v1/batches?state=cancelled").get_json()
    assert [batch["id"] for batch in cancelled["batches"]] == [ids[0]]


def test_without_room_for_temporary_files_it_is_told_when_to_come_back(own: FlaskClient, demo: list[Any]) -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))  # no file may be longer, as on a disk that is full
    try:
        response = post(own, written(demo[:1]) * 1000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert response.status_code == 503, response.text
    assert response.json is not None
    assert (response.json["type"], response.headers["Retry-After"]) == ("/problems/store-unavailable", "30")
    assert own.get("/v1/batches").get_json()["batches"] == []
    assert post(own, written(demo[:1])).status_code == 202
