"""Impacts over HTTP: few panels are answered at once, many are a run; nothing that is stored is changed by either."""

import json
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from api import create_app
from api.settings import Settings
from api.store import NewRecord
from api.store import Put
from api.store import Store
from api.store import open_store
from api.work.rating_batches import BatchWork
from sccr import rate
from sccr.many import executor
from tests.bench.lines import line_of

from .asking import codes
from .asking import members
from .asking import pages
from .asking import problem
from .conftest import Schemas
from .prepared import BETTER_CONTACTOR
from .prepared import BREAKER
from .prepared import CONTACTOR
from .prepared import ELEVATOR
from .prepared import prepared_store
from .test_batches import work_off

ADDRESS = "/v1/impacts"
#: As it turned out: the contactor is good for 5 kA, and not for the 18 kA that it was sold for.
CORRECTED = {"format": "impact/1", "changed_parts": [CONTACTOR]}
ASYNC = {"Prefer": "respond-async"}


@pytest.fixture
def desk(database: str) -> Iterator[Store]:
    """A store of either kind with three panels in it, two of them shipped; one has an older revision in the field."""
    with closing(open_store(database)) as opened:
        opened.apply_changes([Put(BREAKER), Put(BETTER_CONTACTOR)], "desk")
        for designation, available in (("ELV-01", "12 kA"), ("ELV-02", "4 kA"), ("ELV-03", "12 kA")):
            keep(opened, designation, available)
        keep(opened, "ELV-01", "10 kA")
        opened.mark_shipped("TO-1", "ELV-01", 1, "dock")
        opened.mark_shipped("TO-1", "ELV-02", 1, "dock")
        yield opened


def keep(store: Store, designation: str, available: str, order: str = "TO-1") -> None:
    supply = {**ELEVATOR["supplies"][0], "available_fault_current": available}
    document = {**ELEVATOR, "panel": {"designation": designation}, "supplies": [supply]}
    catalogue = store.catalogue_for(document)
    assert catalogue is not None
    store.put_revision(
        order, designation, NewRecord(document, rate(document, catalogue).as_dict(), "ERP", catalogue.version)
    )


@pytest.fixture
def own_app(desk: Store) -> Flask:
    return create_app(Settings(), desk)


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    """A client of a service with the two parts in its catalogue, for what is refused."""
    with closing(prepared_store(tmp_path_factory.mktemp("prepared"))) as opened:
        yield create_app(Settings(), opened).test_client()


def told(found: list[dict[str, Any]]) -> list[tuple[str, int, str]]:
    return [(each["designation"], each["revision"], each["outcome"]) for each in found]


WORST_FIRST = [
    ("ELV-01", 1, "below_available"),  # shipped
    ("ELV-03", 1, "below_available"),  # by 7 kA
    ("ELV-01", 2, "below_available"),  # by 5 kA
    ("ELV-02", 1, "lowered"),
]


def test_a_few_panels_are_answered_at_once(own: FlaskClient) -> None:
    report = members(own.post(ADDRESS, json=CORRECTED))
    assert told(report["impacts"]) == WORST_FIRST
    assert report["counts"] == {
        **{"stored": 4, "touched": 4, "rated": 4, "changed": 4, "unchanged": 0},
        **{"refused": 0, "unknown": 0, "withheld": 0, "below_available": 3, "lowered": 1, "otherwise": 0, "raised": 0},
        **{"shipped_changed": 2, "shipped_failing": 1},
    }
    worst = report["impacts"][0]
    assert (worst["order"], worst["changed_parts"]) == ("TO-1", ["MILLET-C9"])
    assert (worst["before"]["rating"]["current"], worst["after"]["rating"]["current"]) == ("18 kA", "5 kA")
    assert [(each["component"], each["part"]) for each in worst["limited_by"]] == [("-QA1", "MILLET-C9")]
    assert members(own.get(ADDRESS))["runs"] == []


def test_as_a_run_the_same_is_found(own_app: Flask, own: FlaskClient, schemas: Schemas) -> None:
    at_once = members(own.post(ADDRESS, json=CORRECTED))
    taken = own.post(ADDRESS, json=CORRECTED, headers=ASYNC)
    run = members(taken, 202)
    assert taken.headers["Location"] == f"{ADDRESS}/{run['id']}" == run["links"]["self"]
    assert (taken.headers["Retry-After"], taken.headers["Preference-Applied"]) == ("1", "respond-async")
    assert (run["state"], run["total"], run["done"]) == ("queued", 4, 0)
    assert members(own.get(run["links"]["results"])) == {"impacts": [], "next": None}
    work_off(own_app)
    ended = own.get(taken.headers["Location"])
    run = members(ended)
    assert "Retry-After" not in ended.headers
    assert (run["state"], run["done"], run["failed"]) == ("done", 4, 0)
    assert {name: run[name] for name in at_once if name != "impacts"} == {
        name: value for name, value in at_once.items() if name != "impacts"
    }
    results = members(own.get(run["links"]["results"]))
    assert results["impacts"] == at_once["impacts"]
    for name, answer in (("ImpactReport", at_once), ("ImpactRun", run), ("ImpactPage", results)):
        assert schemas.faults(name, answer) == []
    assert [each["id"] for each in members(own.get(f"{ADDRESS}?state=done"))["runs"]] == [run["id"]]


def test_whoever_rates_for_the_worker_finds_the_same(own_app: Flask, own: FlaskClient) -> None:
    at_once = members(own.post(ADDRESS, json=CORRECTED))
    run = members(own.post(ADDRESS, json=CORRECTED, headers=ASYNC), 202)
    with executor(2) as by, own_app.app_context():
        work = BatchWork("worker", by)
        while work.do_some():
            pass
    assert members(own.get(run["links"]["results"]))["impacts"] == at_once["impacts"]


def test_results_come_in_pages_and_by_what_they_are(own_app: Flask, own: FlaskClient) -> None:
    run = members(own.post(ADDRESS, json=CORRECTED, headers=ASYNC), 202)
    work_off(own_app)
    address = run["links"]["results"]
    found = pages(own, f"{address}?limit=1", "impacts")
    assert [told(page) for page in found] == [[each] for each in WORST_FIRST]
    assert told(members(own.get(f"{address}?shipped=true"))["impacts"]) == [WORST_FIRST[0], WORST_FIRST[3]]
    assert told(members(own.get(f"{address}?outcome=below_available&shipped=false"))["impacts"]) == WORST_FIRST[1:3]
    assert members(own.get(f"{address}?outcome=raised"))["impacts"] == []
    problem(own.get(f"{address}?outcome=unchanged"), 400, "invalid-parameter")


def test_many_panels_are_a_run_unasked(own_app: Flask, own: FlaskClient, desk: Store) -> None:
    first = desk.revision("TO-1", "ELV-02")
    assert first is not None
    record = desk.record(first.record_id)
    assert record is not None
    for number in range(97):
        desk.put_revision("TO-2", f"ELV-{number}", NewRecord(record.document, record.result, "ERP", 1))
    run = members(own.post(ADDRESS, json=CORRECTED), 202)
    assert run["total"] == 101
    keys = {"Idempotency-Key": "1"}
    assert members(own.post(ADDRESS, json={"format": "impact/1", "scope": "all"}, headers=keys), 202)["total"] == 101
    assert members(own.post(ADDRESS, json={"format": "impact/1"}))["counts"]["touched"] == 0
    work_off(own_app)
    counts = members(own.get(run["links"]["self"]))["counts"]
    assert (counts["rated"], counts["lowered"], counts["below_available"]) == (101, 98, 3)


def test_the_full_run_is_a_check_and_agrees(own: FlaskClient, desk: Store) -> None:
    desk.apply_changes([Put({"part": "OTHER", "kind": "motor"})], "desk")
    keep(desk, "ELV-09", "12 kA", "TO-9")
    some = members(own.post(ADDRESS, json={**CORRECTED, "scope": "touched"}))
    every = members(own.post(ADDRESS, json={**CORRECTED, "scope": "all"}))
    assert some["impacts"] == every["impacts"]
    only = {"format": "impact/1", "changed_parts": [{"part": "OTHER", "kind": "contactor"}]}
    counts = members(own.post(ADDRESS, json=only))["counts"]
    assert (counts["stored"], counts["touched"], counts["rated"]) == (5, 0, 0)
    counts = members(own.post(ADDRESS, json={**only, "scope": "all"}))["counts"]
    assert (counts["stored"], counts["touched"], counts["rated"], counts["changed"]) == (5, 0, 5, 0)


def test_a_run_is_by_the_catalogue_of_its_moment(own_app: Flask, own: FlaskClient, desk: Store) -> None:
    run = members(own.post(ADDRESS, json={"format": "impact/1", "scope": "all"}, headers=ASYNC), 202)
    desk.apply_changes([Put(CONTACTOR)], "desk")
    work_off(own_app)
    ended = members(own.get(run["links"]["self"]))
    assert (ended["catalogue_version"], ended["counts"]["changed"]) == (1, 0)
    report = members(own.post(ADDRESS, json={"format": "impact/1"}))
    assert (report["catalogue_version"], told(report["impacts"])) == (2, WORST_FIRST)


def test_a_part_that_goes_is_told_and_comes_first(own: FlaskClient, schemas: Schemas) -> None:
    report = members(own.post(ADDRESS, json={"format": "impact/1", "removed_parts": ["RYE-3P-15"]}))
    assert schemas.faults("ImpactReport", report) == []
    assert {each["outcome"] for each in report["impacts"]} == {"refused"}
    assert [each["shipped_at"] is not None for each in report["impacts"]] == [True, True, False, False]
    whole = {"format": "catalogue/1", "parts": [BETTER_CONTACTOR]}
    assert members(own.post(ADDRESS, json={"format": "impact/1", "catalogue": whole})) == report


def test_nothing_is_kept_or_changed(own_app: Flask, own: FlaskClient, desk: Store) -> None:
    before = kept(desk)
    members(own.post(ADDRESS, json=CORRECTED))
    assert kept(desk) == before
    members(own.post(ADDRESS, json=CORRECTED, headers=ASYNC), 202)
    work_off(own_app)
    assert kept(desk) == before


def kept(store: Store) -> list[Any]:
    panels = [panel for order in store.orders().items for panel in store.panels(order.order).items]
    return [store.records().items, store.catalogue_versions().items, panels]


def test_the_same_key_makes_one_run(own: FlaskClient, desk: Store) -> None:
    headers = {**ASYNC, "Idempotency-Key": '"impact-1"'}
    first, again = (own.post(ADDRESS, json=CORRECTED, headers=headers) for _ in range(2))
    other = own.post(ADDRESS, json={"format": "impact/1"}, headers=headers)
    assert (first.status_code, again.status_code) == (202, 202)
    assert again.headers["Idempotent-Replayed"] == "true"
    assert (again.data, again.headers["Location"]) == (first.data, first.headers["Location"])
    problem(other, 422, "idempotency-key-reused")
    assert len(members(own.get(ADDRESS))["runs"]) == 1
    assert [entry.action for entry in desk.audit().items].count("impact.create") == 1


def test_cancelled_what_is_found_stays(own_app: Flask, own: FlaskClient, desk: Store) -> None:
    desk.add_webhook("https://erp.example/", "whsec_", ["impact.ended", "batch.ended"], "me")
    run = members(own.post(ADDRESS, json=CORRECTED, headers=ASYNC), 202)
    cancelled = members(own.delete(run["links"]["self"]))
    assert cancelled["state"] == "cancelled"
    work_off(own_app)
    assert members(own.get(run["links"]["results"]))["impacts"] == []
    assert members(own.delete(run["links"]["self"]))["state"] == "cancelled"
    [delivery] = desk.deliveries().items
    message = json.loads(delivery.payload)
    assert (message["type"], message["data"]["links"]["self"]) == ("impact.ended", run["links"]["self"])
    assert [entry.action for entry in desk.audit().items].count("impact.cancel") == 1


def test_a_run_without_panels_is_done_at_once(own: FlaskClient) -> None:
    run = members(own.post(ADDRESS, json={"format": "impact/1"}, headers=ASYNC), 202)
    assert (run["state"], run["total"]) == ("done", 0)


def test_a_panel_that_ends_whoever_rates_it_is_not_known(own_app: Flask, own: FlaskClient, desk: Store) -> None:
    run = members(own.post(ADDRESS, json=CORRECTED, headers=ASYNC), 202)
    for number in range(3):
        assert len(desk.claim_lines(f"one that dies {number}", 1, 0)) == 1
    work_off(own_app)
    ended = members(own.get(run["links"]["self"]))
    assert (ended["state"], ended["failed"], ended["counts"]["unknown"], ended["counts"]["rated"]) == ("done", 1, 1, 4)
    [unknown] = members(own.get(f"{run['links']['results']}?outcome=unknown"))["impacts"]
    assert (unknown["after"], unknown["before"]["status"]) == (
        {"status": "unknown", "rating": None, "adequate": None},
        "rated",
    )
    assert unknown["why"][0].startswith("This line ended the process that rated it, 3 times")


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # where the stroke hits a finaliser
def test_a_panel_that_takes_too_long_is_not_known_in_a_run_and_refuses_an_answer(desk: Store, schemas: Schemas) -> None:
    document = line_of(12_000)
    desk.put_revision("TO-1", "LINE-12000", NewRecord(document, rate(document).as_dict(), "ERP"))
    desk.mark_shipped("TO-1", "LINE-12000", 1, "dock")
    app = create_app(Settings(work_seconds=0), desk)
    client = app.test_client()
    everything = {"format": "impact/1", "scope": "all"}
    problem(client.post(ADDRESS, json=everything), 503, "out-of-time")
    run = members(client.post(ADDRESS, json=everything, headers=ASYNC), 202)
    work_off(app)
    ended = members(client.get(run["links"]["self"]))
    assert (ended["state"], ended["counts"]["rated"], ended["counts"]["unknown"]) == ("done", 5, 1)
    assert (ended["failed"], ended["counts"]["shipped_failing"]) == (1, 1)
    [slow] = members(client.get(run["links"]["results"]))["impacts"]
    assert schemas.faults("Impact", slow) == []
    assert (slow["designation"], slow["outcome"]) == ("LINE-12000", "unknown")
    assert "was stopped" in slow["why"][0]


def test_a_run_is_no_batch_and_a_batch_no_run(own: FlaskClient) -> None:
    run = members(own.post(ADDRESS, json=CORRECTED, headers=ASYNC), 202)
    batch = members(own.post("/v1/batches", data=b"{}", headers={"Content-Type": "application/x-ndjson"}), 202)
    for address in (f"/v1/batches/{run['id']}", f"/v1/impacts/{batch['id']}"):
        for method in (own.get, own.delete):
            problem(method(address), 404, "not-found")
        problem(own.get(f"{address}/results"), 404, "not-found")
    assert [each["id"] for each in members(own.get("/v1/batches"))["batches"]] == [batch["id"]]


REFUSED: dict[str, tuple[dict[str, Any], list[tuple[str, str]]]] = {
    "no format": ({}, [("/format", "required")]),
    "another format": ({"format": "panel/1"}, [("/format", "unknown-word")]),
    "a misspelt member": ({"format": "impact/1", "changed_part": []}, [("/changed_part", "unknown-field")]),
    "another scope": ({"format": "impact/1", "scope": "some"}, [("/scope", "unknown-word")]),
    "a scope that is no word": ({"format": "impact/1", "scope": []}, [("/scope", "unknown-word")]),
    "two ways": (
        {"format": "impact/1", "catalogue_version": 1, "changed_parts": []},
        [("/changed_parts", "contradiction")],
    ),
    "a wrong part": (
        {"format": "impact/1", "changed_parts": [BREAKER, {"part": "OAT"}]},
        [("/changed_parts/1/kind", "required")],
    ),
    "no list of parts": ({"format": "impact/1", "changed_parts": {}}, [("/changed_parts", "not-a-list")]),
    "a part twice": (
        {"format": "impact/1", "changed_parts": [BREAKER, BREAKER]},
        [("/changed_parts/1/part", "duplicate-part")],
    ),
    "a part in both": (
        {"format": "impact/1", "changed_parts": [BREAKER], "removed_parts": ["RYE-3P-15"]},
        [("/removed_parts/0", "contradiction")],
    ),
    "a part that is not there": (
        {"format": "impact/1", "removed_parts": ["MILLET-C9", "OAT"]},
        [("/removed_parts/1", "unknown-part")],
    ),
    "no list of numbers": ({"format": "impact/1", "removed_parts": [1]}, [("/removed_parts", "not-a-list")]),
    "no catalogue": ({"format": "impact/1", "catalogue": []}, [("/catalogue", "not-an-object")]),
    "a wrong catalogue": (
        {"format": "impact/1", "catalogue": {"format": "catalogue/1", "parts": [{"part": "OAT"}]}},
        [("/catalogue/parts/0/kind", "required")],
    ),
    "no number": ({"format": "impact/1", "catalogue_version": True}, [("/catalogue_version", "not-an-integer")]),
    "null": ({"format": "impact/1", "catalogue_version": None}, [("/catalogue_version", "not-an-integer")]),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_wrong_is_told_with_its_place(prepared: FlaskClient, name: str) -> None:
    document, expected = REFUSED[name]
    assert codes(problem(prepared.post(ADDRESS, json=document), 422, "invalid-document")) == expected


@pytest.mark.parametrize(
    ("ask", "status"),
    [
        (lambda c: c.post(ADDRESS, data=b"{}", headers={"Content-Type": "text/csv"}), 415),
        (lambda c: c.post(ADDRESS, data=b"{", headers={"Content-Type": "application/json"}), 400),
        (lambda c: c.post(f"{ADDRESS}?scope=all", json=CORRECTED), 400),
        (lambda c: c.post(ADDRESS, json=CORRECTED, headers={"Accept": "text/html"}), 406),
        (lambda c: c.post(ADDRESS, json={"format": "impact/1", "catalogue_version": 9}), 404),
        (lambda c: c.get(f"{ADDRESS}/none"), 404),
        (lambda c: c.get(f"{ADDRESS}/none/results"), 404),
        (lambda c: c.delete(f"{ADDRESS}/none"), 404),
        (lambda c: c.get(f"{ADDRESS}?state=over"), 400),
    ],
)
def test_what_is_refused(prepared: FlaskClient, ask: Callable[[FlaskClient], TestResponse], status: int) -> None:
    response = ask(prepared)
    assert response.status_code == status
    assert response.content_type == "application/problem+json"
