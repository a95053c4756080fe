"""Records: ratings that are kept, found again, and never changed by what comes later."""

import base64
import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from api import create_app
from api.settings import Settings
from api.store import NewRecord
from api.store import Store
from api.store.canonical import canonical
from api.store.canonical import digest_of_text
from api.stored_ratings import rating_of
from sccr import Catalogue
from sccr import rate

from .asking import NEW
from .asking import WHATEVER
from .asking import codes
from .asking import members
from .asking import pages
from .asking import problem
from .asking import put_panel
from .conftest import CATALOGUE
from .conftest import PANELS

ORDER = "TO-24017"


def keep(client: FlaskClient, document: Any, **headers: str) -> Any:
    return members(client.post("/v1/ratings?record=true", json=document, headers=headers), 201)


class TestKeeping:
    def test_a_rating_is_kept_where_that_is_asked_for_and_only_there(
        self, own: FlaskClient, starter: dict[str, Any]
    ) -> None:
        for query in ("", "?record=false"):
            assert members(own.post(f"/v1/ratings{query}", json=starter))["status"] == "rated"
        assert members(own.get("/v1/records"))["records"] == []
        kept = keep(own, starter)
        assert members(own.get(f"/v1/records/{kept['id']}")) == kept
        assert kept["document"] == starter
        assert kept["order"] is None
        assert kept["result"] == members(own.post("/v1/ratings", json=starter))

    def test_the_record_says_by_what_for_whom_and_when(
        self, own: FlaskClient, starter: dict[str, Any], catalogue: Catalogue
    ) -> None:
        kept = keep(own, starter)
        method = kept["result"]["method"]
        for name in ("edition", "engine_version", "tables_digest", "catalogue_digest"):
            assert kept[name] == method[name]
        assert (kept["catalogue_digest"], kept["catalogue_version"]) == (catalogue.digest, 1)
        assert (kept["asked_by"], kept["current_amperes"]) == ("open", 18_000)
        assert kept["asked_at"].endswith("Z")

    def test_what_cannot_be_rated_is_not_kept(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        starter["components"] = []
        problem(own.post("/v1/ratings?record=true", json=starter), 422, "invalid-document")
        problem(own.post("/v1/ratings?record=yes", json=starter), 400, "invalid-parameter")
        assert members(own.get("/v1/records"))["records"] == []

    def test_a_text_of_json_in_json_is_no_document(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        body = json.dumps(json.dumps(starter))
        response = own.post("/v1/ratings", data=body, content_type="application/json")
        assert codes(problem(response, 422, "invalid-document")) == [("", "not-an-object")]

    def test_it_is_in_the_audit_log(self, own: FlaskClient, desk: Store, starter: dict[str, Any]) -> None:
        kept = keep(own, starter)
        [entry] = desk.audit().items
        assert (entry.action, entry.object) == ("record.append", kept["id"])

    def test_a_later_catalogue_changes_nothing_of_it(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        starter["components"][0] = {"id": "-FC1", "part": "BARLEY-3P-100", "fed_from": "MAINS"}
        kept = keep(own, starter)
        own.delete("/v1/parts/BARLEY-3P-100", headers=WHATEVER)
        place = f"/v1/records/{kept['id']}"
        assert members(own.get(place)) == kept
        assert members(own.get(f"{place}/rating")) == kept["result"]
        assert members(own.get(f"{place}/nameplate"))["supplies"][0]["protective_device"]["part"] == "BARLEY-3P-100"
        assert own.get(f"{place}/report").status_code == 200
        problem(own.post("/v1/ratings", json=starter), 422, "invalid-document")


class TestFinding:
    @pytest.fixture
    def kept(self, own: FlaskClient) -> list[dict[str, Any]]:
        documents = [json.loads(path.read_bytes()) for path in PANELS]
        return [keep(own, document) for document in documents]

    def test_all_are_found_the_oldest_first(self, own: FlaskClient, kept: list[dict[str, Any]]) -> None:
        told = [record for page in pages(own, "/v1/records?limit=4", "records") for record in page]
        without = [{name: v for name, v in record.items() if name not in ("document", "result")} for record in kept]
        assert told == without

    def test_they_are_found_by_document_part_and_panel(
        self, own: FlaskClient, kept: list[dict[str, Any]], starter: dict[str, Any]
    ) -> None:
        def found(query: str) -> list[str]:
            return [record["id"] for page in pages(own, f"/v1/records?{query}", "records") for record in page]

        assert found(f"document_digest={kept[3]['document_digest']}") == [kept[3]["id"]]
        using = [
            record["id"]
            for record in kept
            if any(component.get("part") == "OAT-3P-30" for component in record["document"]["components"])
        ]
        assert found("part=OAT-3P-30&limit=1") == using
        stored = members(put_panel(own, ORDER, starter, **NEW), 201)
        assert found(f"order={ORDER}") == found("designation=AUG-01") == [stored["record"]]

    @pytest.mark.parametrize("id", ["x", "01JJY0M8TT9CQ8Z5B2W7E4R6K1", "%00", "%ED%A0%80", "..", "a%2Fb"])
    def test_what_is_no_record_is_404(self, client: FlaskClient, id: str) -> None:
        for what in ("", "/rating", "/nameplate", "/report"):
            problem(client.get(f"/v1/records/{id}{what}"), 404, "not-found")

    @pytest.mark.parametrize("place", ["", "x\0y", "\x1f", "\n"])
    def test_a_cursor_that_somebody_made_up_is_400(self, own: FlaskClient, starter: dict[str, Any], place: str) -> None:
        """The mark of the question can be copied from a right one, so that any place can be put behind it."""
        for _ in range(2):
            keep(own, starter)
        cursor = members(own.get("/v1/records?limit=1"))["next"]
        mark = base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4))[:8]
        made_up = base64.urlsafe_b64encode(mark + place.encode()).decode().rstrip("=")
        told = problem(own.get(f"/v1/records?cursor={made_up}"), 400, "invalid-parameter")
        assert codes(told) == [("/query/cursor", "not-a-cursor")]

    def test_a_cursor_of_a_numbered_list_is_a_number(self, own: FlaskClient) -> None:
        own.delete("/v1/parts/OAT-1P-2", headers=WHATEVER)
        cursor = members(own.get("/v1/catalogue/versions?limit=1"))["next"]
        mark = base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4))[:8]
        for place in ("x", "-1", "9" * 30, "1.5", "٢"):
            made_up = base64.urlsafe_b64encode(mark + place.encode()).decode().rstrip("=")
            problem(own.get(f"/v1/catalogue/versions?cursor={made_up}"), 400, "invalid-parameter")


class TestNameplatesOfOtherTimes:
    """A nameplate is drawn from the document again: where today's engine reads it otherwise, there is none."""

    def test_a_catalogue_that_is_not_the_one_of_the_rating(self, own: FlaskClient, desk: Store) -> None:
        document = json.loads((PANELS[0].parent / "series_rating.json").read_bytes())
        kept = desk.record(keep(own, document)["id"])
        assert kept is not None
        other = desk.append_record(NewRecord(kept.document, kept.result, "ERP"))
        told = problem(own.get(f"/v1/records/{other.id}/nameplate"), 409, "nameplate-refused")
        assert "the catalogue is not the one that the rating was made with" in told["detail"]

    def test_a_document_that_is_refused_today(self, own: FlaskClient, desk: Store, starter: dict[str, Any]) -> None:
        kept = keep(own, starter)
        document = {**starter, "written_by": "an engine that knew this member"}
        result = {**kept["result"], "document_digest": digest_of_text(canonical(document))}
        other = desk.append_record(NewRecord(document, result, "ERP", kept["catalogue_version"]))
        told = problem(own.get(f"/v1/records/{other.id}/nameplate?format=pdf"), 409, "nameplate-refused")
        assert "/written_by" in told["detail"]


class TestTheTags:
    def test_a_record_and_its_rating_are_304_to_who_has_them(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        kept = keep(own, starter)
        for what in ("", "/rating", "/nameplate", "/nameplate?format=svg", "/report?format=pdf"):
            first = own.get(f"/v1/records/{kept['id']}{what}")
            again = own.get(f"/v1/records/{kept['id']}{what}", headers={"If-None-Match": first.headers["ETag"]})
            assert (again.status_code, again.data) == (304, b""), what

    def test_a_stored_rating_has_the_tag_of_the_one_that_was_given(
        self, own: FlaskClient, starter: dict[str, Any]
    ) -> None:
        kept = keep(own, starter)
        given = own.post("/v1/ratings", json=starter)
        assert own.get(f"/v1/records/{kept['id']}/rating").headers["ETag"] == given.headers["ETag"]


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.stem)
def test_a_stored_rating_is_the_same_object_again(path: Path, catalogue: Catalogue) -> None:
    """Reports and nameplates are made from it: every field must come back from JSON as it was."""
    for document in (json.loads(path.read_bytes()), {**json.loads(path.read_bytes()), "target": "65.5 kA"}):
        rating = rate(document, catalogue)
        again = rating_of(json.loads(json.dumps(rating.as_dict())))
        assert again.as_dict() == rating.as_dict()
        assert again == rating


def test_a_database_that_does_not_answer_is_503(tmp_path: Path, starter: dict[str, Any]) -> None:
    client = create_app(Settings(catalogue=CATALOGUE, data=tmp_path / "desk")).test_client()
    keep(client, starter)
    store = client.application.extensions["sccr"].store
    store.close()
    (tmp_path / "desk").rename(tmp_path / "gone")
    for response in (client.get("/v1/records"), client.post("/v1/ratings?record=true", json=starter)):
        told = problem(response, 503, "store-unavailable")
        assert response.headers["Retry-After"] == "2"
        assert str(tmp_path) not in json.dumps(told)
    told = problem(client.get("/health/ready"), 503, "not-ready")
    assert told["checks"]["store"] == "fail"
    (tmp_path / "gone").rename(tmp_path / "desk")
    assert len(members(client.get("/v1/records"))["records"]) == 1
