"""GET /v1/editions: what a document may name, and exactly that."""

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from sccr.editions import DEFAULT_EDITION
from sccr.editions import editions


def listed(client: FlaskClient) -> list[dict[str, Any]]:
    response = client.get("/v1/editions")
    assert response.status_code == 200
    return list(json.loads(response.data)["editions"])


def test_the_editions_are_those_of_the_engine(client: FlaskClient) -> None:
    assert [each["id"] for each in listed(client)] == list(editions())
    for each in listed(client):
        rules = editions()[each["id"]]
        assert (each["title"], each["standard"], each["status"]) == (rules.title, rules.standard, rules.status)
        assert each["tables_digest"] == rules.tables_digest()


def test_one_edition_is_the_default_and_it_stands_first(client: FlaskClient) -> None:
    assert [each["id"] for each in listed(client) if each["default"]] == [DEFAULT_EDITION] == [listed(client)[0]["id"]]


def test_each_edition_can_be_asked_for_and_the_rating_names_it(client: FlaskClient, starter: dict[str, Any]) -> None:
    for each in listed(client):
        method = json.loads(client.post("/v1/ratings", json={**starter, "edition": each["id"]}).data)["method"]
        assert (method["edition"], method["tables_digest"]) == (each["id"], each["tables_digest"])
    assert json.loads(client.post("/v1/ratings", json=starter).data)["method"]["edition"] == DEFAULT_EDITION


@pytest.mark.parametrize("path", ["/v1/editions", "/openapi.yaml", "/openapi.json", "/problems/not-found"])
def test_who_has_the_answer_already_gets_304(client: FlaskClient, path: str) -> None:
    tag = client.get(path).headers["ETag"]
    again = client.get(path, headers={"If-None-Match": tag})
    assert (again.status_code, again.data) == (304, b"")
    assert client.get(path, headers={"If-None-Match": '"another"'}).status_code == 200


def test_what_excludes_json_is_406(client: FlaskClient) -> None:
    assert client.get("/v1/editions", headers={"Accept": "text/html"}).status_code == 406
