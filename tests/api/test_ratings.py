"""POST /v1/ratings: the rating of the engine for what is right, and a clear refusal of everything else."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from api import create_app
from api.problems import MOST_ERRORS
from api.settings import Settings
from sccr import Catalogue
from sccr import SccrError
from sccr import rate

from .conftest import PANELS

JSON = "application/json"


def post(client: FlaskClient, body: object, **named: Any) -> TestResponse:
    data = body if isinstance(body, bytes) else json.dumps(body).encode()
    return client.post("/v1/ratings", data=data, **{"content_type": JSON, **named})


def problem(response: TestResponse, status: int, slug: str) -> dict[str, Any]:
    """Return the problem that an answer is, once it is certain that it is the right one."""
    assert response.status_code == status, response.text
    assert response.content_type == "application/problem+json"
    members = json.loads(response.data)
    assert members["type"] == f"/problems/{slug}"
    assert members["status"] == status
    assert "Traceback" not in response.text
    assert isinstance(members, dict)
    return members


def codes(members: dict[str, Any]) -> list[tuple[str, str]]:
    return [(error["pointer"], error["code"]) for error in members["errors"]]


@pytest.mark.parametrize("panel", PANELS, ids=lambda path: path.stem)
def test_each_demo_panel_is_rated_as_the_library_rates_it(
    client: FlaskClient, catalogue: Catalogue, panel: Path
) -> None:
    response = post(client, panel.read_bytes())
    assert response.status_code == 200, response.text
    assert response.content_type == JSON
    assert json.loads(response.data) == json.loads(json.dumps(rate(panel.read_bytes(), catalogue).as_dict()))


def test_the_weakest_link_of_the_starter_is_its_contactor(client: FlaskClient, starter: dict[str, Any]) -> None:
    rating = json.loads(post(client, starter).data)
    assert rating["rating"]["current_amperes"] == 18_000
    assert [limit["component"] for limit in rating["limited_by"]] == ["-QA1"]


def test_without_a_catalogue_a_part_is_only_a_label(starter: dict[str, Any]) -> None:
    starter["components"][1]["part"] = "IN-NO-CATALOGUE"
    response = post(create_app().test_client(), starter)
    assert response.status_code == 200
    assert json.loads(response.data)["method"]["catalogue_digest"] is None


def test_a_part_that_the_catalogue_lacks_is_refused(client: FlaskClient, starter: dict[str, Any]) -> None:
    starter["components"][1]["part"] = "IN-NO-CATALOGUE"
    members = problem(post(client, starter), 422, "invalid-document")
    assert codes(members) == [("/components/1/part", "unknown-part")]


def test_a_service_with_a_broken_catalogue_does_not_start(tmp_path: Path) -> None:
    broken = tmp_path / "catalogue.json"
    broken.write_text('{"format": "catalogue/1", "parts": [{"part": "OAT"}]}', "utf-8")
    with pytest.raises(SccrError, match="kind"):
        create_app(Settings(catalogue=broken))
    with pytest.raises(FileNotFoundError):
        create_app(Settings(catalogue=tmp_path / "nowhere.json"))


class TestTheTag:
    def test_the_same_document_and_method_give_the_same_bytes_and_tag(
        self, client: FlaskClient, starter: dict[str, Any]
    ) -> None:
        first = post(client, starter)
        second = post(client, json.dumps(turned_around(starter), indent=4).encode())
        assert first.data == second.data
        assert first.get_etag() == second.get_etag()
        assert first.get_etag()[1] is False, "the tag is weak"

    def test_another_document_edition_or_catalogue_has_another_tag(
        self, client: FlaskClient, starter: dict[str, Any]
    ) -> None:
        tags = {post(client, starter).get_etag()[0], post(create_app().test_client(), starter).get_etag()[0]}
        tags.add(post(client, {**starter, "edition": "UL 508A:2013"}).get_etag()[0])
        tags.add(post(client, {**starter, "target": "5 kA"}).get_etag()[0])
        assert len(tags) == 4

    def test_a_post_is_never_answered_with_304(self, client: FlaskClient, starter: dict[str, Any]) -> None:
        tag = post(client, starter).headers["ETag"]
        assert post(client, starter, headers={"If-None-Match": tag}).status_code == 200


def turned_around(value: Any) -> Any:
    """Return the same value with the members of its objects in the reverse order."""
    if isinstance(value, dict):
        return {name: turned_around(member) for name, member in reversed(value.items())}
    return [turned_around(each) for each in value] if isinstance(value, list) else value


DEEP = b"[" * 2000 + b"]" * 2000
STARTER = PANELS[0].read_bytes()

NOT_JSON = {
    "empty": b"",
    "cut short": STARTER[:200],
    "two documents": b"{}{}",
    "a trailing comma": b'{"a": 1,}',
    "NaN": b'{"a": NaN}',
    "Infinity": b'{"a": -Infinity}',
    "2,000 deep": DEEP,
    "a million deep": b'{"a":' * 200_000,
    "UTF-16": STARTER.decode().encode("utf-16"),
    "UTF-16 without a mark": STARTER.decode().encode("utf-16-le"),
    "UTF-32": STARTER.decode().encode("utf-32"),
    "a byte order mark": b"\xef\xbb\xbf" + STARTER,
    "Latin-1": '{"a": "\xe9"}'.encode("latin-1"),
    "half a surrogate pair in UTF-8": b'{"a": "\xed\xa0\x80"}',
    "a bare control character": b'{"a": "\x00"}',
    "plain text": b"65 kA",
}


@pytest.mark.parametrize("name", NOT_JSON)
def test_what_is_not_json_is_400(client: FlaskClient, name: str) -> None:
    members = problem(post(client, NOT_JSON[name]), 400, "malformed-json")
    assert codes(members) == [("", "malformed-json")]


def test_the_place_of_a_mistake_is_told(client: FlaskClient) -> None:
    members = problem(post(client, b'{\n  "format": "panel/1",\n  oops\n}'), 400, "malformed-json")
    assert "line 3, column 3" in members["detail"]


NO_DOCUMENT: dict[str, tuple[bytes, tuple[str, str]]] = {
    "a list": (b"[]", ("", "not-an-object")),
    "a number": (b"5", ("", "not-an-object")),
    "null": (b"null", ("", "not-an-object")),
    "a string": (b'"65 kA"', ("", "not-an-object")),
    "a repeated key": (b'{"a":1,"a":2}', ("/a", "duplicate-key")),
    "1e999": (b'{"a": 1e999}', ("/a", "number-out-of-range")),
    "an integer beyond exactness": (b'{"a": 9007199254740993}', ("/a", "number-out-of-range")),
    "an integer of 100,000 digits": (b'{"a": ' + b"9" * 100_000 + b"}", ("/a", "number-out-of-range")),
    "an integer of 5,000 digits alone": (b"9" * 5_000, ("", "number-out-of-range")),
    "half a surrogate pair": (b'{"format": "\\ud800"}', ("/format", "control-character")),
    "half a surrogate pair as a repeated key": (b'{"\\ud800":1,"\\ud800":1}', ("/\ud800", "duplicate-key")),
    "a NUL": (b'{"format": "panel/1\\u0000"}', ("/format", "control-character")),
    "a slash in a key": (b'{"a/b~c":1,"a/b~c":1}', ("/a~1b~0c", "duplicate-key")),
}


@pytest.mark.parametrize("name", NO_DOCUMENT)
def test_json_that_is_no_document_is_422(client: FlaskClient, name: str) -> None:
    body, expected = NO_DOCUMENT[name]
    assert expected in codes(problem(post(client, body), 422, "invalid-document"))


def test_everything_that_is_wrong_is_told_at_once(client: FlaskClient, starter: dict[str, Any]) -> None:
    starter["supplies"][0]["available_fault_current"] = 65
    starter["components"][0]["fed_from"] = "NOWHERE"
    starter["components"][1]["horse_power"] = "5 hp"
    starter["edition"] = 2018
    members = problem(post(client, starter), 422, "invalid-document")
    assert {
        ("/supplies/0/available_fault_current", "not-a-quantity"),
        ("/components/0/fed_from", "fed-from-unknown"),
        ("/components/1/horse_power", "unknown-field"),
    } <= set(codes(members))
    assert members["detail"] == f"{len(members['errors'])} errors."


def test_an_edition_that_does_not_exist_is_told_with_those_that_do(
    client: FlaskClient, starter: dict[str, Any]
) -> None:
    members = problem(post(client, {**starter, "edition": "UL 508A:1066"}), 422, "invalid-document")
    assert codes(members) == [("/edition", "unknown-edition")]
    assert "UL 508A:2018" in members["errors"][0]["detail"]


def test_the_list_of_errors_is_bounded(client: FlaskClient, starter: dict[str, Any]) -> None:
    for component in starter["components"][:2]:
        component.update({f"field-{number}": 1 for number in range(MOST_ERRORS // 2 + 100)})
    members = problem(post(client, starter), 422, "invalid-document")
    assert len(members["errors"]) == MOST_ERRORS
    assert members["detail"] == "1200 errors, of which errors lists the first 1000."


class TestTheMediaType:
    @pytest.mark.parametrize(
        "content_type",
        [JSON, "APPLICATION/JSON", "application/json; charset=utf-8", 'application/json; charset="UTF-8"'],
    )
    def test_json_in_utf_8_is_taken(self, client: FlaskClient, starter: dict[str, Any], content_type: str) -> None:
        assert post(client, starter, content_type=content_type).status_code == 200

    def test_a_media_type_of_json_is_taken(self, client: FlaskClient, starter: dict[str, Any]) -> None:
        assert post(client, starter, content_type="application/vnd.panel+json").status_code == 200

    @pytest.mark.parametrize(
        "content_type",
        [
            *("text/plain", "text/json", "application/xml", "application/x-www-form-urlencoded", "multipart/form-data"),
            *("application/jsonp", "application/json-seq", "image/svg+json", "application/json; charset=latin-1", ""),
            "application/json; charset=utf-16",
        ],
    )
    def test_anything_else_is_415(self, client: FlaskClient, starter: dict[str, Any], content_type: str) -> None:
        problem(post(client, starter, content_type=content_type), 415, "unsupported-media-type")

    def test_no_media_type_is_415(self, client: FlaskClient, starter: dict[str, Any]) -> None:
        response = client.post("/v1/ratings", data=json.dumps(starter).encode())
        assert "Content-Type says nothing" in problem(response, 415, "unsupported-media-type")["detail"]

    def test_a_compressed_body_is_415(self, client: FlaskClient, starter: dict[str, Any]) -> None:
        problem(post(client, starter, headers={"Content-Encoding": "gzip"}), 415, "unsupported-media-type")


class TestTheAcceptHeader:
    @pytest.mark.parametrize("accept", ["", "*/*", "application/*", JSON, "text/html, */*;q=0.1"])
    def test_what_lets_json_pass_is_answered(self, client: FlaskClient, starter: dict[str, Any], accept: str) -> None:
        assert post(client, starter, headers={"Accept": accept}).status_code == 200

    @pytest.mark.parametrize("accept", ["text/html", "application/xml", "application/json;q=0", "image/*"])
    def test_what_excludes_json_is_406(self, client: FlaskClient, starter: dict[str, Any], accept: str) -> None:
        problem(post(client, starter, headers={"Accept": accept}), 406, "not-acceptable")


class TestTheLength:
    def test_a_body_at_the_limit_is_read_and_one_byte_more_is_413(self, starter: dict[str, Any]) -> None:
        body = json.dumps(starter).encode()
        client = create_app(Settings(max_body_bytes=len(body))).test_client()
        assert post(client, body).status_code == 200
        problem(post(client, body + b" "), 413, "body-too-large")

    def test_ten_million_bytes_are_413(self, client: FlaskClient) -> None:
        problem(post(client, b" " * 10_000_000), 413, "body-too-large")

    @pytest.mark.parametrize("stated", [None, 10], ids=["no length", "a false length"])
    def test_a_body_of_unknown_length_is_read_no_further_than_the_limit(self, stated: int | None) -> None:
        """A server that ends the body itself hands over all of it, whatever Content-Length says."""
        client = create_app(Settings(max_body_bytes=1_000)).test_client()
        stream = io.BytesIO(b'{"format": "panel/1"}' + b" " * 5_000)
        environ = {"wsgi.input_terminated": True, "wsgi.input": stream}
        response = client.post("/v1/ratings", content_type=JSON, content_length=stated, environ_overrides=environ)
        problem(response, 413, "body-too-large")
        assert stream.tell() <= 1_001

    def test_a_body_shorter_than_its_length_is_400(self, client: FlaskClient) -> None:
        problem(post(client, b"{}", environ_overrides={"CONTENT_LENGTH": "500"}), 400, "bad-request")
