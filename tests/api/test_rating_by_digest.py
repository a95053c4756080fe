"""A rating by the digest of its document: from the records while nothing has changed, and never one of before."""

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

import api.kept_answers
import api.rated
import sccr.ul508a.rule_set
from api.store import NewRecord
from api.store import Put
from api.store import Store
from sccr import rate
from sccr.ul508a.rule_set import UL508A

from .prepared import BETTER_CONTACTOR
from .prepared import BREAKER
from .prepared import CONTACTOR
from .prepared import ELEVATOR

Change = Callable[[Store, pytest.MonkeyPatch], None]


def get(client: FlaskClient, digest: str, **headers: str) -> TestResponse:
    return client.get(f"/v1/ratings/{digest}", headers={name.replace("_", "-"): said for name, said in headers.items()})


def rated(client: FlaskClient) -> float:
    """How many ratings the service has made."""
    lines = client.get("/metrics").text.splitlines()
    return sum(float(line.split()[-1]) for line in lines if line.startswith("sccr_ratings_total"))


@pytest.fixture
def store(desk: Store) -> Store:
    desk.apply_changes([Put(BREAKER), Put(CONTACTOR)], "catalogue desk")
    return desk


@pytest.fixture
def kept(store: Store, own: FlaskClient) -> TestResponse:
    """The answer to a document of which the rating is kept."""
    assert own.post("/v1/ratings?record=true", json=ELEVATOR).status_code == 201
    return own.post("/v1/ratings", json=ELEVATOR)


def test_it_is_the_answer_that_the_document_would_have_and_nothing_is_rated(
    own: FlaskClient, kept: TestResponse
) -> None:
    before = rated(own)
    answer = get(own, kept.json["document_digest"])

    assert (answer.status_code, answer.data, answer.headers["ETag"]) == (200, kept.data, kept.headers["ETag"])
    assert answer.headers["Cache-Control"] == "no-cache"
    assert own.get(answer.headers["Content-Location"]).data == kept.data
    assert rated(own) == before


def test_who_has_it_is_told_so(own: FlaskClient, kept: TestResponse) -> None:
    before = rated(own)
    answer = get(own, kept.json["document_digest"], If_None_Match=f'"other", {kept.headers["ETag"]}')

    assert (answer.status_code, answer.data, answer.headers["ETag"]) == (304, b"", kept.headers["ETag"])
    assert rated(own) == before


def a_part(store: Store, _: pytest.MonkeyPatch) -> None:
    store.apply_changes([Put(BETTER_CONTACTOR)], "catalogue desk")


def another_part(store: Store, _: pytest.MonkeyPatch) -> None:
    store.apply_changes([Put({"part": "OAT-1", "kind": "motor"})], "catalogue desk")


def the_engine(_: Store, patch: pytest.MonkeyPatch) -> None:
    for module in (api.rated, api.kept_answers):
        patch.setattr(module, "ENGINE_VERSION", "99.0.0")
    patch.setattr(sccr.ul508a.rule_set, "ENGINE_VERSION", "99.0.0")


def a_table(_: Store, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(UL508A, "tables_digest", lambda _: "f" * 64)


@pytest.mark.parametrize("change", [a_part, another_part, the_engine, a_table])
def test_after_a_change_it_is_rated_anew(
    own: FlaskClient, store: Store, kept: TestResponse, monkeypatch: pytest.MonkeyPatch, change: Change
) -> None:
    change(store, monkeypatch)
    before = rated(own)
    answer = get(own, kept.json["document_digest"], If_None_Match=kept.headers["ETag"])

    assert answer.status_code == 200
    assert answer.headers["ETag"] != kept.headers["ETag"]
    assert "Content-Location" not in answer.headers
    assert rated(own) == before + 1
    fresh = own.post("/v1/ratings", json=ELEVATOR)
    assert (answer.data, answer.headers["ETag"]) == (fresh.data, fresh.headers["ETag"])
    again = get(own, kept.json["document_digest"], If_None_Match=answer.headers["ETag"])
    assert again.status_code == 304


def test_a_part_that_is_better_now_makes_it_another_rating(
    own: FlaskClient, store: Store, kept: TestResponse, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_part(store, monkeypatch)
    answer = get(own, kept.json["document_digest"])

    assert (kept.json["rating"]["current"], answer.json["rating"]["current"]) == ("5 kA", "18 kA")


def test_another_edition_is_another_document(own: FlaskClient, kept: TestResponse) -> None:
    other = own.post("/v1/ratings?record=true", json={**ELEVATOR, "edition": "UL 508A:2013"}).json["result"]
    answers = [get(own, each["document_digest"]) for each in (kept.json, other)]

    assert [answer.json["method"]["edition"] for answer in answers] == ["UL 508A:2018", "UL 508A:2013"]
    assert answers[0].headers["ETag"] != answers[1].headers["ETag"]


def test_a_record_of_another_engine_never_answers(own: FlaskClient, store: Store) -> None:
    """One that says something else, as it would if the engine had been wrong before."""
    catalogue = store.catalogue_for(ELEVATOR)
    assert catalogue is not None
    result: dict[str, Any] = rate(ELEVATOR, catalogue).as_dict()
    wrong = {**result["rating"], "current": "200 kA", "current_amperes": 200_000}
    method = {**result["method"], "engine_version": "0.0.1"}
    store.append_record(NewRecord(ELEVATOR, {**result, "rating": wrong, "method": method}, "ERP", catalogue.version))

    answer = get(own, result["document_digest"])

    assert answer.json == own.post("/v1/ratings", json=ELEVATOR).json
    assert answer.json["rating"]["current"] == "5 kA"


def test_the_catalogue_of_before_back_again_is_answered_from_the_record(
    own: FlaskClient, store: Store, kept: TestResponse
) -> None:
    store.apply_changes([Put(BETTER_CONTACTOR)], "catalogue desk")
    store.apply_changes([Put(CONTACTOR)], "catalogue desk")

    answer = get(own, kept.json["document_digest"])

    assert answer.data == kept.data
    assert "Content-Location" in answer.headers


@pytest.mark.parametrize("digest", ["0" * 64, "no digest", "A" * 64])
def test_of_an_unknown_document_it_says_what_to_do(own: FlaskClient, digest: str) -> None:
    answer = get(own, digest)

    assert answer.status_code == 404
    assert "Post the document" in answer.json["detail"]
