"""Every error is a problem, and every answer has the name of its request and the headers that it must have."""

import json
import logging
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.exceptions import ImATeapot

from api import create_app
from api.logs import JsonLines
from api.problem_types import PROBLEM_TYPES

TRACE = "4bf92f3577b34da6a3ce929d0e0e4736"
SPAN = "00f067aa0ba902b7"


@pytest.fixture
def failing() -> FlaskClient:
    """An application with a resource that fails, and one that refuses in a way that has no page."""
    app = create_app()

    @app.get("/fails")
    def fails() -> str:
        raise RuntimeError("a secret of the machine")

    @app.get("/teapot")
    def teapot() -> str:
        raise ImATeapot

    assert isinstance(app, Flask)
    return app.test_client()


@pytest.fixture
def lines(caplog: pytest.LogCaptureFixture) -> pytest.LogCaptureFixture:
    caplog.set_level(logging.INFO, "sccr.service")
    return caplog


def test_a_fault_of_the_service_is_500_without_its_cause(failing: FlaskClient, lines: pytest.LogCaptureFixture) -> None:
    response = failing.get("/fails", headers={"X-Request-Id": "order-4711"})
    assert response.status_code == 500
    assert response.content_type == "application/problem+json"
    assert "secret" not in response.text
    assert "Traceback" not in response.text
    members = json.loads(response.data)
    assert members["type"] == "/problems/internal-error"
    assert members["request_id"] == response.headers["X-Request-Id"] == "order-4711"
    logged = next(record for record in lines.records if record.exc_info)
    assert logged.__dict__["fields"]["request_id"] == "order-4711"
    assert "a secret of the machine" in JsonLines().format(logged)


def test_a_status_without_a_page_is_told_plainly(failing: FlaskClient) -> None:
    members = json.loads(failing.get("/teapot").data)
    assert (members["type"], members["status"], members["title"]) == ("about:blank", 418, "I'm a Teapot")


@pytest.mark.parametrize("path", ["/v1", "/v1/ratings/", "/v2/ratings", "//v1/ratings", "/v1/ratings%00", "/%ff"])
def test_an_unknown_address_is_404(client: FlaskClient, path: str) -> None:
    response = client.get(path)
    assert response.status_code == 404
    assert json.loads(response.data)["type"] == "/problems/not-found"


@pytest.mark.parametrize(
    ("method", "path", "allowed"),
    [
        ("GET", "/v1/ratings", {"POST", "OPTIONS"}),
        ("PUT", "/v1/ratings", {"POST", "OPTIONS"}),
        ("BREW", "/v1/ratings", {"POST", "OPTIONS"}),
        ("POST", "/v1/editions", {"GET", "HEAD", "OPTIONS"}),
        ("DELETE", "/health/live", {"GET", "HEAD", "OPTIONS"}),
    ],
)
def test_a_method_that_is_not_taken_is_405_with_those_that_are(
    client: FlaskClient, method: str, path: str, allowed: set[str]
) -> None:
    response = client.open(path, method=method)
    assert response.status_code == 405
    assert json.loads(response.data)["type"] == "/problems/method-not-allowed"
    assert set(response.headers["Allow"].split(", ")) == allowed


def test_head_has_the_headers_of_get_and_no_body(client: FlaskClient) -> None:
    head, get = client.head("/v1/editions"), client.get("/v1/editions")
    assert (head.status_code, head.data) == (200, b"")
    assert head.headers["Content-Length"] == str(len(get.data))
    refused = client.head("/v1/ratings")
    assert (refused.status_code, refused.data) == (405, b"")
    assert refused.content_type == "application/problem+json"


def test_options_tells_the_methods(client: FlaskClient) -> None:
    response = client.options("/v1/ratings")
    assert response.status_code == 200
    assert set(response.headers["Allow"].split(", ")) == {"POST", "OPTIONS"}


@pytest.mark.parametrize("slug", PROBLEM_TYPES)
def test_each_type_of_problem_leads_to_its_page(client: FlaskClient, slug: str) -> None:
    response = client.get(f"/problems/{slug}")
    assert response.status_code == 200
    page = json.loads(response.data)
    assert page["type"] == f"/problems/{slug}"
    assert len(page["description"]) > 40


def test_a_page_that_does_not_exist_is_404_and_names_those_that_do(client: FlaskClient) -> None:
    response = client.get("/problems/oops")
    assert response.status_code == 404
    assert "invalid-document" in json.loads(response.data)["detail"]


class TestTheNameOfTheRequest:
    @pytest.mark.parametrize("name", ["a", "order-4711_B.2", "x" * 128])
    @pytest.mark.parametrize("path", ["/health/live", "/nowhere"])
    def test_a_plain_one_is_repeated(self, client: FlaskClient, path: str, name: str) -> None:
        response = client.get(path, headers={"X-Request-Id": name})
        assert response.headers["X-Request-Id"] == name
        assert json.loads(response.data).get("request_id", name) == name

    @pytest.mark.parametrize("name", ["", "a b", "x" * 129, "<script>", "a,b", "ä"])
    def test_another_is_replaced(self, client: FlaskClient, name: str) -> None:
        given = client.get("/health/live", headers={"X-Request-Id": name}).headers["X-Request-Id"]
        assert given != name
        assert len(given) == 32

    def test_each_request_gets_its_own(self, client: FlaskClient) -> None:
        assert len({client.get("/health/live").headers["X-Request-Id"] for _ in range(20)}) == 20


class TestTheLog:
    def fields(self, lines: pytest.LogCaptureFixture) -> dict[str, Any]:
        line = json.loads(JsonLines().format(lines.records[-1]))
        assert isinstance(line, dict)
        return line

    def test_a_request_is_one_line_of_json(self, client: FlaskClient, lines: pytest.LogCaptureFixture) -> None:
        client.get("/problems/not-found", headers={"X-Request-Id": "order-4711"})
        assert len(lines.records) == 1
        line = self.fields(lines)
        assert (line["request_id"], line["method"], line["status"]) == ("order-4711", "GET", 200)
        assert line["route"] == "/problems/<slug>"
        assert line["milliseconds"] > 0

    def test_a_trace_is_continued(self, client: FlaskClient, lines: pytest.LogCaptureFixture) -> None:
        client.get("/health/live", headers={"traceparent": f"00-{TRACE}-{SPAN}-01"})
        line = self.fields(lines)
        assert (line["trace_id"], line["parent_id"]) == (TRACE, SPAN)
        assert line["span_id"] not in (SPAN, "")

    @pytest.mark.parametrize(
        "header", ["", "00-1-1-1", f"ff-{TRACE}-{SPAN}-01", f"00-{'0' * 32}-{SPAN}-01", f"00-{TRACE}-{'0' * 16}-01"]
    )
    def test_a_trace_that_breaks_the_form_is_not(
        self, client: FlaskClient, lines: pytest.LogCaptureFixture, header: str
    ) -> None:
        client.get("/health/live", headers={"traceparent": header})
        assert self.fields(lines)["trace_id"] is None

    def test_nothing_of_the_caller_gets_into_a_line_unescaped(
        self, client: FlaskClient, lines: pytest.LogCaptureFixture
    ) -> None:
        client.open("/no\nwhere\u2028", method="GET", headers={"X-Request-Id": 'x","status":200'})
        text = JsonLines().format(lines.records[-1])
        assert "\n" not in text
        assert text.isascii()
        assert json.loads(text)["status"] == 404


@pytest.mark.parametrize("path", ["/health/live", "/v1/editions", "/openapi.yaml", "/nowhere", "/v1/ratings"])
def test_every_answer_has_the_headers_that_keep_browsers_careful(client: FlaskClient, path: str) -> None:
    headers = client.get(path).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "default-src 'none'" in headers["Content-Security-Policy"]


def test_no_rating_and_no_refusal_is_kept_by_a_cache(client: FlaskClient, starter: dict[str, Any]) -> None:
    assert client.post("/v1/ratings", json=starter).headers["Cache-Control"] == "no-store"
    assert client.post("/v1/ratings", json=[]).headers["Cache-Control"] == "no-store"
    assert client.get("/nowhere").headers["Cache-Control"] == "no-store"
