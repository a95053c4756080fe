"""The catalogue as a whole: its versions, and tables that go in and come out."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from openpyxl import Workbook
from openpyxl import load_workbook
from werkzeug.test import TestResponse

from api import create_app
from api.settings import Settings
from api.store import Store
from sccr import Catalogue
from sccr.schema.exchange import CSV
from sccr.schema.exchange import XLSX

from .asking import NEW
from .asking import WHATEVER
from .asking import codes
from .asking import members
from .asking import pages
from .asking import problem
from .conftest import CATALOGUE
from .prepared import CONTACTOR

DEMO: dict[str, Any] = json.loads(CATALOGUE.read_bytes())
PARTS: list[dict[str, Any]] = DEMO["parts"]


def send(client: FlaskClient, body: bytes, media_type: str = CSV, query: str = "", **headers: str) -> TestResponse:
    return client.post(f"/v1/catalogue/import{query}", data=body, content_type=media_type, headers=headers)


class TestVersions:
    def test_the_catalogue_of_a_file_is_the_first(self, own: FlaskClient, catalogue: Catalogue) -> None:
        told = members(own.get("/v1/catalogue"))
        assert (told["number"], told["digest"], told["parts"]) == (1, catalogue.digest, len(PARTS))
        assert told["note"] == DEMO["title"]

    def test_the_same_file_makes_no_version_and_another_makes_one(self, desk: Store, tmp_path: Path) -> None:
        for _ in range(2):
            client = create_app(Settings(catalogue=CATALOGUE), desk).test_client()
            assert members(client.get("/v1/catalogue"))["number"] == 1
        shorter = tmp_path / "shorter.json"
        shorter.write_text(json.dumps({**DEMO, "parts": [*PARTS[3:], CONTACTOR]}), "utf-8")
        client = create_app(Settings(catalogue=shorter), desk).test_client()
        assert members(client.get("/v1/catalogue"))["number"] == 2
        assert client.get(f"/v1/parts/{PARTS[0]['part']}").status_code == 404
        assert members(client.get("/v1/catalogue/export"))["parts"] == sorted(
            [*PARTS[3:], CONTACTOR], key=lambda part: part["part"]
        )

    def test_every_version_stays(self, own: FlaskClient) -> None:
        own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW)
        own.delete("/v1/parts/MILLET-C9", headers=WHATEVER)
        told = pages(own, "/v1/catalogue/versions?limit=1", "versions")
        versions = [version for page in told for version in page]
        assert [version["number"] for version in versions] == [3, 2, 1]
        assert versions[0]["digest"] == versions[2]["digest"] != versions[1]["digest"]
        for version in versions:
            assert members(own.get(f"/v1/catalogue/versions/{version['number']}")) == version

    @pytest.mark.parametrize("number", ["0", "2", "x", "-1", "1.0", "9" * 40, "٢", "%00"])
    def test_what_is_no_version_is_404(self, client: FlaskClient, number: str) -> None:
        problem(client.get(f"/v1/catalogue/versions/{number}"), 404, "not-found")

    def test_without_a_catalogue_there_is_none(self, desk: Store) -> None:
        client = create_app(Settings(), desk).test_client()
        problem(client.get("/v1/catalogue"), 404, "not-found")
        problem(client.get("/v1/catalogue/export"), 404, "not-found")
        assert members(client.get("/v1/catalogue/versions")) == {"versions": [], "next": None}

    def test_it_is_304_to_who_has_it(self, client: FlaskClient) -> None:
        for address in ("/v1/catalogue", "/v1/catalogue/versions/1", "/v1/catalogue/export?format=csv"):
            tag = client.get(address).headers["ETag"]
            assert client.get(address, headers={"If-None-Match": tag}).status_code == 304


class TestExport:
    @pytest.mark.parametrize("form", ["json", "csv", "xlsx"])
    def test_what_goes_out_comes_in_unchanged(self, own: FlaskClient, form: str) -> None:
        out = own.get(f"/v1/catalogue/export?format={form}")
        assert out.headers["Content-Disposition"] == f"inline; filename=catalogue-1.{form}"
        own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW)
        told = members(send(own, out.data, out.mimetype, "?mode=replace"), 201)
        assert {name: told[name] for name in ("added", "changed", "removed", "unchanged")} == {
            **{"added": 0, "changed": 0},
            **{"removed": 1, "unchanged": len(PARTS)},
        }
        versions = members(own.get("/v1/catalogue/versions"))["versions"]
        assert versions[0]["digest"] == versions[2]["digest"]

    def test_the_header_accept_chooses_the_form(self, client: FlaskClient) -> None:
        def form(**headers: str) -> str:
            return client.get("/v1/catalogue/export", headers=headers).mimetype

        assert form() == "application/json"
        assert form(Accept="text/csv, application/json;q=0.5") == CSV
        assert form(Accept=XLSX) == XLSX
        problem(client.get("/v1/catalogue/export", headers={"Accept": "image/png"}), 406, "not-acceptable")
        assert client.get("/v1/catalogue/export?format=csv", headers={"Accept": "image/png"}).mimetype == CSV

    @pytest.mark.parametrize("form", ["json", "csv", "xlsx"])
    def test_it_names_the_version_that_it_is_of_so_that_an_import_can_be_based_on_it(
        self, own: FlaskClient, form: str
    ) -> None:
        out = own.get(f"/v1/catalogue/export?format={form}")
        assert out.headers["ETag"] == own.get("/v1/catalogue").headers["ETag"]
        again = own.get(f"/v1/catalogue/export?format={form}")
        assert out.data == again.data or form == "xlsx"  # a workbook says when it was made
        own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW)
        late = send(own, out.data, out.mimetype, "?mode=replace", **{"If-Match": out.headers["ETag"]})
        problem(late, 412, "precondition-failed")
        out = own.get(f"/v1/catalogue/export?format={form}")
        assert (
            send(own, out.data, out.mimetype, "?mode=replace", **{"If-Match": out.headers["ETag"]}).status_code == 200
        )

    def test_who_has_it_in_one_form_is_given_it_in_another(self, client: FlaskClient) -> None:
        tag = client.get("/v1/catalogue/export", headers={"Accept": XLSX}).headers["ETag"]
        again = client.get("/v1/catalogue/export", headers={"Accept": CSV, "If-None-Match": tag})
        assert (again.status_code, again.mimetype) == (200, CSV)

    def test_a_workbook_can_be_opened(self, client: FlaskClient) -> None:
        book = load_workbook(io.BytesIO(client.get("/v1/catalogue/export?format=xlsx").data), read_only=True)
        rows = list(book.worksheets[0].values)
        assert len(rows) == len(PARTS) + 1
        assert "part" in rows[0]


TABLE = b"""part,kind,poles,ampere_rating,interrupting_ratings
NEW-1,circuit_breaker,3,20 A,22 kA @ 480Y/277 V
NEW-2,circuit_breaker,3,30 A,22 kA @ 480Y/277 V
"""
WRONG = b"""part,kind,poles,ampere_rating,interrupting_ratings
NEW-1,circuit_braker,3,20 A,22 kA @ 480Y/277 V
NEW-2,circuit_breaker,9,30 A,22 kA
NEW-3,circuit_breaker,3,30 A,22 kA @ 480Y/277 V
NEW-3,circuit_breaker,3,30,22 kA @ 480Y/277 V
"""


def as_workbook(table: bytes) -> bytes:
    book = Workbook()
    for row in csv.reader(io.StringIO(table.decode())):
        book.worksheets[0].append(row)
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


class TestImport:
    def test_all_parts_of_a_table_come_in_as_one_version(self, own: FlaskClient) -> None:
        response = send(own, TABLE, query="?note=Larger breakers")
        told = members(response, 201)
        assert (told["rows"], told["added"], told["catalogue_version"]) == (2, 2, 2)
        assert response.headers["Location"] == "/v1/catalogue/versions/2"
        assert members(own.get(response.headers["Location"]))["note"] == "Larger breakers"
        assert members(own.get("/v1/parts/NEW-2"))["ampere_rating"] == "30 A"
        assert members(send(own, TABLE))["unchanged"] == 2
        assert members(own.get("/v1/catalogue"))["number"] == 2

    def test_a_dry_run_tells_every_wrong_cell_by_line_and_column_and_changes_nothing(self, own: FlaskClient) -> None:
        told = members(send(own, WRONG, query="?dry_run=true"))
        assert told["valid"] is False
        assert {(each["line"], each["column"], each["code"]) for each in told["problems"]} >= {
            (2, "kind", "unknown-kind"),
            (3, "poles", "out-of-range"),
            (5, "part", "duplicate-part"),
            (5, "ampere_rating", "not-a-quantity"),
        }
        assert any(each["line"] == 3 and each["column"] == "interrupting_ratings" for each in told["problems"])
        assert told["rows"] == 4
        assert members(own.get("/v1/catalogue"))["number"] == 1

    def test_a_dry_run_of_a_table_without_part_numbers_says_so(self, own: FlaskClient) -> None:
        for body in (b"kind\nfuse\n", b"a\n1\n"):
            told = members(send(own, body, query="?dry_run=true"))
            assert (told["valid"], told["rows"], told["added"]) == (False, 1, 0)
            assert ("part", "missing-column") in [(each["column"], each["code"]) for each in told["problems"]]

    def test_a_dry_run_of_a_right_table_tells_what_it_would_do(self, own: FlaskClient) -> None:
        told = members(send(own, TABLE, query="?dry_run=true&mode=replace"))
        assert (told["valid"], told["added"], told["removed"], told["problems"]) == (True, 2, len(PARTS), [])
        assert told["catalogue_version"] == 1
        assert own.get("/v1/parts/NEW-1").status_code == 404

    def test_a_table_with_anything_wrong_in_it_is_refused_as_a_whole(self, own: FlaskClient) -> None:
        told = problem(send(own, WRONG), 422, "invalid-table")
        assert {("/2/kind", "unknown-kind"), ("/5/part", "duplicate-part")} <= set(codes(told))
        assert own.get("/v1/parts/NEW-3").status_code == 404

    @pytest.mark.parametrize("media_type", [CSV, XLSX])
    def test_a_dry_run_and_a_refusal_report_the_same_rows_and_nothing_is_imported(
        self, own: FlaskClient, media_type: str
    ) -> None:
        body = WRONG if media_type == CSV else as_workbook(WRONG)
        before = own.get("/v1/catalogue").headers["ETag"]
        dry = members(send(own, body, media_type, "?dry_run=true"))["problems"]
        refused = problem(send(own, body, media_type), 422, "invalid-table")["errors"]
        places = [(f"/{each['line']}/{each['column']}", each["code"], each["detail"]) for each in dry]
        assert places == [(each["pointer"], each["code"], each["detail"]) for each in refused]
        assert [place[:2] for place in places] == [
            ("/2/kind", "unknown-kind"),
            ("/3/poles", "out-of-range"),
            ("/3/interrupting_ratings", "not-a-rating"),
            ("/5/part", "duplicate-part"),
            ("/5/ampere_rating", "not-a-quantity"),
        ]
        assert own.get("/v1/catalogue").headers["ETag"] == before

    def test_a_workbook_is_read_too(self, own: FlaskClient) -> None:
        book = Workbook()
        sheet = book.worksheets[0]
        for row in (["part", "kind", "poles"], ["NEW-1", "circuit_breaker", 3], ["NEW-2", "circuit_breaker", "three"]):
            sheet.append(row)
        buffer = io.BytesIO()
        book.save(buffer)
        told = members(send(own, buffer.getvalue(), XLSX, "?dry_run=true"))
        assert [(each["line"], each["column"]) for each in told["problems"]] == [(3, "poles")]

    def test_json_that_is_no_catalogue_is_told_by_pointers(self, own: FlaskClient) -> None:
        wrong = {"format": "catalogue/1", "parts": [CONTACTOR, {"part": "X"}]}
        for query in ("", "?dry_run=true"):
            response = send(own, json.dumps(wrong).encode(), "application/json", query)
            assert ("/parts/1/kind", "required") in codes(problem(response, 422, "invalid-document"))
        problem(send(own, b"{", "application/json"), 400, "malformed-json")

    def test_what_somebody_else_has_changed_meanwhile_is_not_overwritten(self, own: FlaskClient) -> None:
        tag = own.get("/v1/catalogue").headers["ETag"]
        own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=NEW)
        late = send(own, TABLE, query="?mode=replace", **{"If-Match": tag})
        problem(late, 412, "precondition-failed")
        tag = own.get("/v1/catalogue").headers["ETag"]
        assert send(own, TABLE, query="?mode=replace", **{"If-Match": tag}).status_code == 201

    @pytest.mark.parametrize("media_type", ["text/plain", "application/xml", "application/vnd.ms-excel", ""])
    def test_other_files_are_415(self, own: FlaskClient, media_type: str) -> None:
        problem(send(own, TABLE, media_type), 415, "unsupported-media-type")

    def test_a_file_that_is_none_is_told(self, own: FlaskClient) -> None:
        assert codes(problem(send(own, b"\x00\x01\x02", XLSX), 422, "invalid-table"))[0][0] == "/1"
        assert codes(problem(send(own, b"\xff\xfe", CSV), 422, "invalid-table"))[0][0] == "/1"

    def test_a_file_that_is_too_long_is_413(self, desk: Store) -> None:
        client = create_app(Settings(max_import_bytes=100), desk).test_client()
        problem(send(client, TABLE), 413, "body-too-large")

    def test_the_list_of_errors_is_bounded_but_that_of_a_dry_run_is_whole(self, own: FlaskClient) -> None:
        many = b"part,kind\n" + b"".join(b"P-%d,nothing\n" % number for number in range(1_500))
        told = problem(send(own, many), 422, "invalid-table")
        assert len(told["errors"]) == 1_000
        assert told["detail"].startswith("1500 errors, of which errors lists the first 1000")
        assert len(members(send(own, many, query="?dry_run=true"))["problems"]) == 1_500


def test_a_change_of_the_catalogue_is_in_the_audit_log(own: FlaskClient, desk: Store) -> None:
    own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers={**NEW, "X-Request-Id": "change-1"})
    own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers=WHATEVER)
    own.delete("/v1/parts/MILLET-C9", headers=WHATEVER)
    send(own, TABLE)
    send(own, TABLE)
    send(own, WRONG)
    entries = list(reversed(desk.audit().items))
    assert [(entry.action, entry.object) for entry in entries] == [
        ("part.put", "MILLET-C9"),
        ("part.delete", "MILLET-C9"),
        ("catalogue.import", "4"),
    ]
    assert entries[0].request_id == "change-1"
    assert entries[0].detail["version"] == 2
    assert entries[2].detail["added"] == 2
