"""What the tests of the order desk ask, and what they expect of a refusal."""

import json
from typing import Any
from urllib.parse import quote

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

NEW = {"If-None-Match": "*"}
WHATEVER = {"If-Match": "*"}


def members(response: TestResponse, status: int = 200) -> Any:
    """The JSON of an answer, once it is certain that it has the status."""
    assert response.status_code == status, response.text
    return json.loads(response.data)


def problem(response: TestResponse, status: int, slug: str) -> dict[str, Any]:
    """The problem that an answer is, once it is certain that it is the right one."""
    told = members(response, status)
    assert response.content_type == "application/problem+json"
    assert told["type"] == f"/problems/{slug}"
    assert isinstance(told, dict)
    return told


def codes(told: dict[str, Any]) -> list[tuple[str, str]]:
    return [(error["pointer"], error["code"]) for error in told["errors"]]


def based_on(response: TestResponse) -> dict[str, str]:
    """The condition that nothing has changed since an answer."""
    return {"If-Match": response.headers["ETag"]}


def place_of(order: str, designation: str) -> str:
    return f"/v1/orders/{quote(order, safe='')}/panels/{quote(designation, safe='')}"


def put_panel(client: FlaskClient, order: str, document: dict[str, Any], **headers: str) -> TestResponse:
    """Store a panel under the designation that its document states."""
    designation = document["panel"]["designation"]
    return client.put(place_of(order, designation), json=document, headers=headers)


def pages(client: FlaskClient, address: str, name: str) -> list[list[Any]]:
    """Every page of a list, by following the header Link, which must say the same as the member next."""
    found = []
    following: str | None = address
    while following is not None:
        response = client.get(following)
        told = members(response)
        found.append(told[name])
        assert ("Link" in response.headers) is (told["next"] is not None)
        following = response.headers["Link"].removeprefix("<").partition(">")[0] if told["next"] else None
        assert following is None or f"cursor={told['next']}" in following
    return found
