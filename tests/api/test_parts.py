"""Parts: read, put, deleted and searched, each change as a new version of the catalogue."""

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from api import create_app
from api.settings import Settings
from api.store import Store

from .asking import NEW
from .asking import WHATEVER
from .asking import based_on
from .asking import codes
from .asking import members
from .asking import pages
from .asking import problem
from .conftest import CATALOGUE
from .conftest import Schemas
from .prepared import CONTACTOR

DEMO: list[dict[str, Any]] = json.loads(CATALOGUE.read_bytes())["parts"]


class TestAPart:
    @pytest.mark.parametrize("document", DEMO[::9], ids=lambda part: part["part"])
    def test_it_is_read_as_it_was_put(self, client: FlaskClient, schemas: Schemas, document: dict[str, Any]) -> None:
        response = client.get(f"/v1/parts/{document['part']}")
        assert members(response) == document
        assert schemas.faults("Part", document) == []
        assert response.headers["Catalogue-Version"] == "1"
        same = client.get(f"/v1/parts/{document['part']}", headers={"If-None-Match": response.headers["ETag"]})
        assert (same.status_code, same.data) == (304, b"")

    def test_a_new_one_makes_a_version_and_the_versions_before_lack_it(self, own: FlaskClient) -> None:
        created = own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW)
        assert members(created, 201) == CONTACTOR
        assert created.headers["Location"] == "/v1/parts/MILLET-C9"
        assert created.headers["Catalogue-Version"] == "2"
        assert members(own.get("/v1/parts/MILLET-C9?version=2")) == CONTACTOR
        problem(own.get("/v1/parts/MILLET-C9?version=1"), 404, "not-found")
        problem(own.get("/v1/parts/MILLET-C9?version=3"), 404, "not-found")

    def test_one_that_is_put_as_it_is_makes_no_version(self, own: FlaskClient) -> None:
        created = own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW)
        again = own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=based_on(created))
        assert again.status_code == 200
        assert again.headers["ETag"] == created.headers["ETag"]
        assert members(own.get("/v1/catalogue"))["number"] == 2

    def test_a_deleted_one_is_gone_from_the_newest_version_only(self, own: FlaskClient) -> None:
        read = own.get(f"/v1/parts/{DEMO[0]['part']}")
        deleted = own.delete(f"/v1/parts/{DEMO[0]['part']}", headers=based_on(read))
        assert (deleted.status_code, deleted.data, deleted.headers["Catalogue-Version"]) == (204, b"", "2")
        assert "Content-Type" not in deleted.headers
        problem(own.get(f"/v1/parts/{DEMO[0]['part']}"), 404, "not-found")
        assert members(own.get(f"/v1/parts/{DEMO[0]['part']}?version=1")) == DEMO[0]
        problem(own.delete(f"/v1/parts/{DEMO[0]['part']}", headers=WHATEVER), 404, "not-found")

    @pytest.mark.parametrize("number", ["1/2-RYE", "/", "a b", "25% LOAD", "ÄHRE-3", "../..", "x?y#z", "RYE+1", "%2F"])
    def test_its_number_may_hold_whatever_can_be_printed(self, own: FlaskClient, number: str) -> None:
        document = {**CONTACTOR, "part": number}
        written = "".join(f"%{byte:02X}" for byte in number.encode())
        created = own.put(f"/v1/parts/{written}", json=document, headers=NEW)
        assert members(created, 201) == document
        assert members(own.get(created.headers["Location"])) == document
        assert number in found(own, f"text={written}")
        assert own.delete(created.headers["Location"], headers=WHATEVER).status_code == 204


class TestConditions:
    def test_a_change_without_one_is_428(self, own: FlaskClient) -> None:
        problem(own.put("/v1/parts/MILLET-C9", json=CONTACTOR), 428, "precondition-required")
        problem(own.delete("/v1/parts/MILLET-C9"), 428, "precondition-required")

    def test_what_somebody_else_has_changed_is_412(self, own: FlaskClient) -> None:
        first = own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW)
        own.put("/v1/parts/MILLET-C9", json={**CONTACTOR, "stock": 4}, headers=based_on(first))
        late = own.put("/v1/parts/MILLET-C9", json={**CONTACTOR, "stock": 5}, headers=based_on(first))
        problem(late, 412, "precondition-failed")
        problem(own.delete("/v1/parts/MILLET-C9", headers=based_on(first)), 412, "precondition-failed")
        assert members(own.get("/v1/parts/MILLET-C9"))["stock"] == 4

    def test_what_is_to_be_new_must_not_be_there_and_what_is_to_change_must(self, own: FlaskClient) -> None:
        problem(own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=WHATEVER), 412, "precondition-failed")
        own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW)
        problem(own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW), 412, "precondition-failed")

    def test_a_weak_tag_never_matches_and_one_of_several_does(self, own: FlaskClient) -> None:
        tag = own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW).headers["ETag"]
        weak = own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers={"If-Match": f"W/{tag}"})
        problem(weak, 412, "precondition-failed")
        assert own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers={"If-Match": f'"x", {tag}'}).status_code == 200


class TestRefusals:
    def test_the_part_of_another_address_is_422(self, own: FlaskClient) -> None:
        told = problem(own.put("/v1/parts/MILLET-C8", json=CONTACTOR, headers=NEW), 422, "invalid-document")
        assert codes(told) == [("/part", "not-the-address")]

    def test_everything_that_is_wrong_is_told_at_its_place_in_the_part(self, own: FlaskClient) -> None:
        wrong = {**CONTACTOR, "poles": 9, "horse_power": "5 hp", "interrupting_ratings": []}
        told = problem(own.put("/v1/parts/MILLET-C9", json=wrong, headers=NEW), 422, "invalid-document")
        assert set(codes(told)) == {
            *(("/poles", "out-of-range"), ("/horse_power", "unknown-field")),
            ("/interrupting_ratings", "not-applicable"),
        }
        problem(own.get("/v1/parts/MILLET-C9"), 404, "not-found")

    @pytest.mark.parametrize("body", [b"[]", b'"RYE"', b"5", b"null"])
    def test_json_that_is_no_object_is_422(self, own: FlaskClient, body: bytes) -> None:
        response = own.put("/v1/parts/MILLET-C9", data=body, content_type="application/json", headers=NEW)
        assert codes(problem(response, 422, "invalid-document")) == [("", "not-an-object")]

    @pytest.mark.parametrize("written", ["%00", "a%00b", "%ED%A0%80", "%FF"])
    def test_a_name_that_nothing_can_have_is_404(self, own: FlaskClient, written: str) -> None:
        problem(own.get(f"/v1/parts/{written}"), 404, "not-found")
        problem(own.delete(f"/v1/parts/{written}", headers=WHATEVER), 404, "not-found")


def found(client: FlaskClient, query: str) -> set[str]:
    return {part["part"] for page in pages(client, f"/v1/parts?{query}&limit=200", "parts") for part in page}


class TestTheSearch:
    def test_it_finds_all_of_a_kind_page_by_page_each_once(self, client: FlaskClient) -> None:
        expected = sorted(part["part"] for part in DEMO if part["kind"] == "circuit_breaker")
        told = pages(client, "/v1/parts?kind=circuit_breaker&limit=7", "parts")
        assert [len(page) for page in told[:-1]] == [7] * (len(told) - 1)
        assert [part["part"] for page in told for part in page] == expected

    def test_filters_hold_together(self, client: FlaskClient) -> None:
        query = "kind=circuit_breaker&poles=3&amperes_min=30 A&amperes_max=0.1 kA&standard=ul 489&mounting=DIN RAIL"
        expected = {
            part["part"]
            for part in DEMO
            if (part["kind"], part.get("poles"), part.get("mounting")) == ("circuit_breaker", 3, "DIN rail")
            and 30 <= float(part["ampere_rating"].removesuffix(" A")) <= 100
            and "UL 489" in part["standards"]
        }
        assert found(client, query) == expected
        assert expected

    def test_an_interrupting_rating_is_one_at_the_voltage_asked_for(self, client: FlaskClient) -> None:
        at_480 = found(client, "kind=circuit_breaker&voltage=480Y/277 V&interrupting=65 kA")
        on_delta = found(client, "kind=circuit_breaker&voltage=480 V&system=ungrounded_delta&interrupting=65 kA")
        assert "BARLEY-3P-100H" in at_480
        assert on_delta <= at_480
        anywhere = found(client, "kind=circuit_breaker&interrupting=65 kA")
        assert anywhere > found(client, "kind=circuit_breaker&voltage=600 V&interrupting=65 kA")

    @pytest.mark.parametrize("text", ["barley", "BARLEY-3p", "molded-case"])
    def test_a_text_is_looked_for_in_number_and_description(self, client: FlaskClient, text: str) -> None:
        folded = text.casefold()
        assert found(client, f"text={text}") == {
            part["part"] for part in DEMO if folded in f"{part['part']}\n{part.get('description', '')}".casefold()
        }

    def test_pages_are_of_one_version_however_the_catalogue_changes_meanwhile(self, own: FlaskClient) -> None:
        first = own.get("/v1/parts?limit=40")
        expected = sorted(part["part"] for part in DEMO)
        own.delete(f"/v1/parts/{expected[50]}", headers=WHATEVER)
        own.put("/v1/parts/BARLEY-0", json={**CONTACTOR, "part": "BARLEY-0"}, headers=NEW)
        own.put("/v1/parts/ZZ", json={**CONTACTOR, "part": "ZZ"}, headers=NEW)
        following = first.headers["Link"].removeprefix("<").partition(">")[0]
        rest = [part["part"] for page in pages(own, following, "parts") for part in page]
        assert [part["part"] for part in members(first)["parts"]] + rest == expected
        assert members(own.get("/v1/parts"))["catalogue_version"] == 4

    def test_without_a_catalogue_there_is_nothing(self, desk: Store) -> None:
        told = members(create_app(Settings(), desk).test_client().get("/v1/parts"))
        assert told == {"parts": [], "next": None, "catalogue_version": None}


WRONG_QUERIES = {
    "a misspelt filter": ("kinds=fuse", "unknown-parameter"),
    "an unknown kind": ("kind=fuze", "unknown-word"),
    "a filter twice": ("kind=fuse&kind=contactor", "repeated"),
    "a bare voltage": ("voltage=480", "not-a-quantity"),
    "poles in words": ("poles=three", "not-an-integer"),
    "five poles": ("poles=5", "not-an-integer"),
    "no limit": ("limit=0", "not-an-integer"),
    "too high a limit": ("limit=201", "not-an-integer"),
    "digits of another script": ("limit=٥", "not-an-integer"),
    "an empty text": ("text=", "not-a-text"),
    "a control character": ("text=%00", "not-a-text"),
    "no cursor": ("cursor=%21%21", "not-a-cursor"),
    "a long cursor": (f"cursor={'A' * 3000}", "not-a-cursor"),
}


@pytest.mark.parametrize("name", WRONG_QUERIES)
def test_a_wrong_parameter_is_told_with_its_name(client: FlaskClient, name: str) -> None:
    query, code = WRONG_QUERIES[name]
    told = problem(client.get(f"/v1/parts?{query}"), 400, "invalid-parameter")
    assert codes(told) == [(f"/query/{query.partition('=')[0]}", code)]


def test_all_wrong_parameters_are_told_at_once(client: FlaskClient) -> None:
    told = problem(client.get("/v1/parts?kind=fuze&voltage=480&limitt=5"), 400, "invalid-parameter")
    assert {pointer for pointer, _ in codes(told)} == {"/query/kind", "/query/voltage", "/query/limitt"}
    assert 'did you mean "fuse"?' in str(told["errors"])
    assert 'did you mean "limit"?' in str(told["errors"])
