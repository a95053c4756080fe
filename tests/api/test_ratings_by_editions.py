"""POST /v1/ratings of a document that names editions: a rating by each; refused where one rating is wanted."""

import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

import sccr
from api.store import Store

from .conftest import ROOT
from .conftest import Schemas

WORLDS = ROOT / "fixtures" / "worlds"
THREE: dict[str, Any] = json.loads((WORLDS / "three_worlds.json").read_bytes())


def lines(client: FlaskClient, name: str) -> float:
    told = client.get("/metrics").text.splitlines()
    return sum(float(line.split()[-1]) for line in told if line.startswith(name))


@pytest.mark.parametrize("path", sorted(WORLDS.glob("*.json")), ids=lambda path: path.stem)
def test_the_service_says_what_the_library_says(own: FlaskClient, schemas: Schemas, path: Path) -> None:
    document = json.loads(path.read_bytes())
    answer = own.post("/v1/ratings", json=document)
    assert answer.status_code == 200, answer.text
    found = sccr.rate_editions(document)
    expected = found.as_dict() if "editions" in document else found.ratings[0].as_dict()
    assert without_catalogue(answer.get_json()) == without_catalogue(json.loads(json.dumps(expected)))
    assert schemas.faults_by({"$ref": "#/components/schemas/RatingOrRatings"}, answer.get_json()) == []


def without_catalogue(answer: dict[str, Any]) -> dict[str, Any]:
    for rating in answer.get("ratings", [answer]):
        rating["method"].pop("catalogue_digest")
    return answer


def test_one_edition_in_the_list_is_answered_as_a_list(own: FlaskClient) -> None:
    answer = own.post("/v1/ratings", json={**THREE, "editions": ["IEC 61439-2:2020"]}).get_json()
    assert answer["format"] == "ratings/1"
    assert [rating["method"]["edition"] for rating in answer["ratings"]] == ["IEC 61439-2:2020"]


def test_how_much_of_the_derivation_is_that_of_each(own: FlaskClient) -> None:
    answer = own.post("/v1/ratings?derivation=none", json=THREE).get_json()
    assert [(rating["derivation"], rating["derivation_extent"]) for rating in answer["ratings"]] == [([], "none")] * 3
    assert answer["side_by_side"]["why"]  # the table needs no derivation beside it


def test_the_same_body_is_rated_once_and_another_order_is_another_answer(own: FlaskClient) -> None:
    first = own.post("/v1/ratings", json=THREE)
    again = own.post("/v1/ratings", json=THREE)
    assert (again.data, again.headers["ETag"]) == (first.data, first.headers["ETag"])
    assert lines(own, "sccr_rating_seconds_count") == 3
    assert lines(own, "sccr_ratings_repeated_total") == 3
    turned = own.post("/v1/ratings", json={**THREE, "editions": THREE["editions"][::-1]})
    tags = {first.headers["ETag"], turned.headers["ETag"]}
    for edition in THREE["editions"]:
        alone = {**{name: value for name, value in THREE.items() if name != "editions"}, "edition": edition}
        tags.add(own.post("/v1/ratings", json=alone).headers["ETag"])
    assert len(tags) == 5


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("POST", "/v1/ratings?record=true"),
        ("POST", "/v1/upgrade-plans?target=20kA"),
        ("POST", "/v1/diagrams"),
        ("PUT", "/v1/orders/TO-1/panels/LEG-20"),
    ],
)
def test_where_one_rating_is_wanted_several_editions_are_refused(
    own: FlaskClient, desk: Store, method: str, path: str
) -> None:
    document = {**THREE, "panel": {**THREE["panel"], "order": "TO-1"}}
    sent = {"If-None-Match": "*"} if method == "PUT" else {}
    answer = own.open(path, method=method, json=document, headers=sent)
    assert answer.status_code == 422, answer.text
    problem = answer.get_json()["errors"][0]
    assert (problem["pointer"], problem["code"]) == ("/editions", "several-editions")
    assert "edition" in problem["detail"]


def test_an_edition_that_there_is_not_is_refused_at_its_place(own: FlaskClient) -> None:
    answer = own.post("/v1/ratings", json={**THREE, "editions": ["UL 508A:2018", "BS 1"]})
    assert answer.status_code == 422
    assert [(each["pointer"], each["code"]) for each in answer.get_json()["errors"]] == [
        ("/editions/1", "unknown-edition")
    ]
