"""Orders: revisions that are stored and rated in one call, and what follows from them."""

import io
import json
from copy import deepcopy
from typing import Any

import pytest
import zxingcpp
from flask.testing import FlaskClient
from PIL import Image

from api.store import Store
from sccr import Catalogue
from sccr import rate

from .asking import NEW
from .asking import WHATEVER
from .asking import based_on
from .asking import codes
from .asking import members
from .asking import pages
from .asking import place_of
from .asking import problem
from .asking import put_panel
from .conftest import PANELS

ORDER = "TO-24017"
PLACE = "/v1/orders/TO-24017/panels/AUG-01"


@pytest.fixture
def weaker(starter: dict[str, Any]) -> dict[str, Any]:
    """The starter with a contactor of 10 kA, which does not cover the 12 kA available."""
    document = deepcopy(starter)
    document["components"][1]["short_circuit_ratings"][0]["current"] = "10 kA"
    return document


class TestStoring:
    @pytest.mark.parametrize("path", PANELS, ids=lambda path: path.stem)
    def test_each_demo_panel_is_stored_and_rated_as_the_library_rates_it(
        self, own: FlaskClient, catalogue: Catalogue, path: Any
    ) -> None:
        document = json.loads(path.read_bytes())
        stored = put_panel(own, document["panel"]["order"], document, **NEW)
        told = members(stored, 201)
        assert told["document"] == document
        assert told["result"] == json.loads(json.dumps(rate(document, catalogue).as_dict()))
        assert members(own.get(stored.headers["Location"])) == told
        assert (told["revision"], told["status"]) == (1, told["result"]["status"])

    def test_the_next_revision_is_based_on_the_one_that_was_read(
        self, own: FlaskClient, starter: dict[str, Any], weaker: dict[str, Any]
    ) -> None:
        first = put_panel(own, ORDER, starter, **NEW)
        second = put_panel(own, ORDER, weaker, **based_on(first))
        assert members(second)["revision"] == 2
        assert members(own.get(PLACE))["document"] == weaker
        assert members(own.get(f"{PLACE}?revision=1"))["document"] == starter
        problem(own.get(f"{PLACE}?revision=3"), 404, "not-found")
        late = put_panel(own, ORDER, starter, **based_on(first))
        problem(late, 412, "precondition-failed")
        assert members(own.get(PLACE))["revision"] == 2

    def test_a_panel_is_made_new_only_once_and_changed_only_where_it_is(
        self, own: FlaskClient, starter: dict[str, Any]
    ) -> None:
        problem(put_panel(own, ORDER, starter), 428, "precondition-required")
        problem(put_panel(own, ORDER, starter, **WHATEVER), 412, "precondition-failed")
        put_panel(own, ORDER, starter, **NEW)
        problem(put_panel(own, ORDER, starter, **NEW), 412, "precondition-failed")
        assert members(own.get(f"{PLACE}/revisions"))["revisions"][0]["revision"] == 1

    def test_a_withheld_panel_is_stored_too(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        starter["supplies"][0].update(voltage="480 V", system="ungrounded_delta")
        told = members(put_panel(own, ORDER, starter, **NEW), 201)
        assert (told["status"], told["current_amperes"]) == ("withheld", None)

    def test_a_document_that_cannot_be_rated_is_not_stored(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        starter["components"][1]["part"] = "OAT-3P-51"
        told = problem(put_panel(own, ORDER, starter, **NEW), 422, "invalid-document")
        assert codes(told) == [("/components/1/part", "unknown-part")]
        assert "did you mean" in told["errors"][0]["detail"]
        problem(own.get(PLACE), 404, "not-found")
        assert members(own.get("/v1/orders"))["orders"] == []
        assert members(own.get("/v1/records"))["records"] == []

    def test_the_document_is_that_of_the_address(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        response = own.put("/v1/orders/TO-1/panels/AUG-02", json=starter, headers=NEW)
        assert codes(problem(response, 422, "invalid-document")) == [
            ("/panel/designation", "not-the-address"),
            ("/panel/order", "not-the-address"),
        ]
        del starter["panel"]["order"]
        assert put_panel(own, "TO-1", starter, **NEW).status_code == 201

    def test_parts_are_those_of_the_catalogue_at_the_time(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        starter["components"][0] = {"id": "-FC1", "part": "BARLEY-3P-100", "fed_from": "MAINS"}
        first = members(put_panel(own, ORDER, starter, **NEW), 201)
        sources = first["result"]["components"][0]["sources"]
        assert sources["interrupting_ratings"] == "catalogue part BARLEY-3P-100"
        part = members(own.get("/v1/parts/BARLEY-3P-100"))
        part["interrupting_ratings"] = [{"voltage": "480Y/277 V", "current": "14 kA"}]
        own.put("/v1/parts/BARLEY-3P-100", json=part, headers=WHATEVER)
        second = members(put_panel(own, ORDER, starter, **WHATEVER))
        assert (first["catalogue_version"], second["catalogue_version"]) == (1, 2)
        assert (first["current_amperes"], second["current_amperes"]) == (18_000, 14_000)
        assert members(own.get(f"{PLACE}/rating?revision=1")) == first["result"]

    @pytest.mark.parametrize(("order", "designation"), [("4711/2", "=G1+A1/2"), ("Ä 1", "a%b"), ("/", "//x")])
    def test_names_may_hold_slashes_and_letters_of_other_alphabets(
        self, own: FlaskClient, starter: dict[str, Any], order: str, designation: str
    ) -> None:
        starter["panel"].update(order=order, designation=designation)
        stored = put_panel(own, order, starter, **NEW)
        assert members(stored, 201)["order"] == order
        assert members(own.get(stored.headers["Location"]))["designation"] == designation
        assert members(own.get(f"{place_of(order, designation)}/rating"))["status"] == "rated"

    @pytest.mark.parametrize("name", ["%20x", "x%20", "a%00b", "a%0Ab", "x" * 101, "%C2%85"])
    def test_names_that_nobody_could_read_again_are_400(
        self, own: FlaskClient, starter: dict[str, Any], name: str
    ) -> None:
        response = own.put(f"/v1/orders/{name}/panels/AUG-01", json=starter, headers=NEW)
        assert codes(problem(response, 400, "invalid-parameter")) == [("/path/order", "not-a-name")]

    def test_it_is_in_the_audit_log(self, own: FlaskClient, desk: Store, starter: dict[str, Any]) -> None:
        stored = members(put_panel(own, ORDER, starter, **NEW), 201)
        own.put(f"{PLACE}/revisions/1/shipped")
        own.put(f"{PLACE}/revisions/1/shipped")
        entries = list(reversed(desk.audit().items))
        assert [(entry.action, entry.object) for entry in entries] == [("panel.put", PLACE), ("panel.shipped", PLACE)]
        assert entries[0].detail == {"revision": 1, "record": stored["record"], "status": "rated"}


class TestLists:
    def test_orders_and_their_panels_come_in_pages(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        del starter["panel"]["order"]
        for order in ("B", "A", "C"):
            for designation in ("P2", "P1"):
                starter["panel"]["designation"] = designation
                put_panel(own, order, starter, **NEW)
        assert [[o["order"] for o in page] for page in pages(own, "/v1/orders?limit=2", "orders")] == [
            ["A", "B"],
            ["C"],
        ]
        told = pages(own, "/v1/orders/A/panels?limit=1", "panels")
        assert [[panel["designation"] for panel in page] for page in told] == [["P1"], ["P2"]]
        assert {order["panels"] for order in members(own.get("/v1/orders"))["orders"]} == {2}
        assert [order["order"] for order in members(own.get("/v1/orders?text=c"))["orders"]] == ["C"]
        problem(own.get("/v1/orders/D/panels"), 404, "not-found")

    def test_the_history_is_newest_first(
        self, own: FlaskClient, starter: dict[str, Any], weaker: dict[str, Any]
    ) -> None:
        for document, condition in ((starter, NEW), (weaker, WHATEVER), (starter, WHATEVER)):
            put_panel(own, ORDER, document, **condition)
        told = [each for page in pages(own, f"{PLACE}/revisions?limit=1", "revisions") for each in page]
        assert [(each["revision"], each["current_amperes"]) for each in told] == [(3, 18_000), (2, 10_000), (1, 18_000)]
        assert len({each["record"] for each in told}) == 3
        problem(own.get("/v1/orders/TO-24017/panels/AUG-09/revisions"), 404, "not-found")

    @pytest.mark.parametrize("limit", [1, 2])
    def test_a_cursor_is_good_for_its_own_list_only(
        self, own: FlaskClient, starter: dict[str, Any], weaker: dict[str, Any], limit: int
    ) -> None:
        put_panel(own, ORDER, starter, **NEW)
        put_panel(own, ORDER, weaker, **WHATEVER)
        cursor = members(own.get("/v1/records?limit=1"))["next"]
        for address in (f"/v1/records?order={ORDER}", f"{PLACE}/revisions?limit={limit}", "/v1/orders?limit=1"):
            told = own.get(f"{address}{'&' if '?' in address else '?'}cursor={cursor}")
            assert codes(problem(told, 400, "invalid-parameter")) == [("/query/cursor", "foreign-cursor")]
        assert len(members(own.get(f"/v1/records?limit={limit}&cursor={cursor}"))["records"]) == 1


class TestShipping:
    def test_it_is_noted_once_and_is_seen_in_the_tag(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        stored = put_panel(own, ORDER, starter, **NEW)
        shipped = members(own.put(f"{PLACE}/revisions/1/shipped"))
        assert shipped["shipped_at"] is not None
        assert members(own.put(f"{PLACE}/revisions/1/shipped")) == shipped
        read = own.get(PLACE, headers={"If-None-Match": stored.headers["ETag"]})
        assert members(read)["shipped_at"] == shipped["shipped_at"]
        problem(put_panel(own, ORDER, starter, **based_on(stored)), 412, "precondition-failed")
        revised = members(put_panel(own, ORDER, starter, **based_on(read)))
        assert (revised["revision"], revised["shipped_at"]) == (2, None)

    @pytest.mark.parametrize("number", ["0", "2", "x", "1.0", "9" * 30])
    def test_what_is_not_there_cannot_be_shipped(self, own: FlaskClient, starter: dict[str, Any], number: str) -> None:
        put_panel(own, ORDER, starter, **NEW)
        problem(own.put(f"{PLACE}/revisions/{number}/shipped"), 404, "not-found")


def pointed(value: Any, pointer: str) -> Any:
    """What a JSON Pointer leads to, or None on the way."""
    for token in pointer.split("/")[1:]:
        value = None if value is None else value[int(token) if isinstance(value, list) else token]
    return value


class TestNameplate:
    def test_its_fields_are_those_of_the_stored_rating(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        stored = members(put_panel(own, ORDER, starter, **NEW), 201)
        told = members(own.get(f"{PLACE}/nameplate"))
        assert told["rating"] == stored["result"]["rating"]
        assert told["record"]["id"] == stored["record"]
        assert told["maker"] == starter["panel"]["builder"]
        for pointer in told["missing"]:
            assert pointed(told, pointer) is None, pointer

    @pytest.mark.parametrize("code", ["data_matrix", "qr"])
    def test_its_code_leads_back_to_the_record(self, own: FlaskClient, starter: dict[str, Any], code: str) -> None:
        stored = members(put_panel(own, ORDER, starter, **NEW), 201)
        plate = own.get(f"{PLACE}/nameplate?format=png&size=100x60&code={code}")
        image = Image.open(io.BytesIO(plate.data))
        assert image.size == (round(100 / 25.4 * 300), round(60 / 25.4 * 300))
        [found] = zxingcpp.read_barcodes(image)
        assert found.text == f"SCCR1 {stored['record']} {stored['document_digest'].upper()}"
        assert members(own.get(f"/v1/records/{found.text.split()[1]}"))["document"] == starter

    def test_without_a_code_there_is_none(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        put_panel(own, ORDER, starter, **NEW)
        plate = own.get(f"{PLACE}/nameplate?format=png&code=none")
        assert zxingcpp.read_barcodes(Image.open(io.BytesIO(plate.data))) == []

    @pytest.mark.parametrize(
        ("accept", "media_type"),
        [
            ("*/*", "application/json"),
            ("image/svg+xml", "image/svg+xml"),
            ("image/png;q=0.5, image/*;q=0.1", "image/png"),
        ],
    )
    def test_the_header_accept_chooses_the_form(
        self, own: FlaskClient, starter: dict[str, Any], accept: str, media_type: str
    ) -> None:
        put_panel(own, ORDER, starter, **NEW)
        response = own.get(f"{PLACE}/nameplate", headers={"Accept": accept})
        assert response.mimetype == media_type
        assert "Accept" in response.headers["Vary"]
        problem(own.get(f"{PLACE}/nameplate", headers={"Accept": "text/html"}), 406, "not-acceptable")

    def test_an_inadequate_panel_gets_none_and_the_reason(self, own: FlaskClient, weaker: dict[str, Any]) -> None:
        put_panel(own, ORDER, weaker, **NEW)
        for form in ("json", "svg", "pdf", "png"):
            told = problem(own.get(f"{PLACE}/nameplate?format={form}"), 409, "nameplate-refused")
            assert told["detail"] == "Supply MAINS is rated 10 kA, below the available 12 kA."

    def test_a_withheld_panel_gets_none_and_the_reason(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        starter["supplies"][0].update(voltage="480 V", system="ungrounded_delta")
        put_panel(own, ORDER, starter, **NEW)
        told = problem(own.get(f"{PLACE}/nameplate"), 409, "nameplate-refused")
        assert "none serves 480 V" in told["detail"]

    def test_a_plate_that_is_too_small_is_told_with_the_size_that_is_needed(
        self, own: FlaskClient, starter: dict[str, Any]
    ) -> None:
        put_panel(own, ORDER, starter, **NEW)
        told = problem(own.get(f"{PLACE}/nameplate?format=pdf&size=20x20"), 400, "invalid-parameter")
        assert codes(told) == [("/query/size", "does-not-fit")]
        assert "is needed" in told["errors"][0]["detail"]

    @pytest.mark.parametrize(
        "size", ["100", "100x", "100x60mm", "0x0", "9999x1", "nanxnan", "-5x5", "500x500", "1e2x60"]
    )
    def test_what_is_no_size_is_400(self, own: FlaskClient, starter: dict[str, Any], size: str) -> None:
        put_panel(own, ORDER, starter, **NEW)
        told = problem(own.get(f"{PLACE}/nameplate?size={size}"), 400, "invalid-parameter")
        assert codes(told)[0][0] == "/query/size"


class TestReport:
    def test_it_is_a_page_that_needs_nothing_beside_it(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        stored = members(put_panel(own, ORDER, starter, **NEW), 201)
        response = own.get(f"{PLACE}/report")
        assert response.content_type == "text/html; charset=utf-8"
        assert stored["record"] in response.text
        assert "18 kA rms symmetrical" in response.text
        policy = response.headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'; style-src 'sha256-")
        assert "unsafe" not in policy

    @pytest.mark.parametrize("paper", ["a4", "letter"])
    def test_it_is_a_pdf(self, own: FlaskClient, starter: dict[str, Any], paper: str) -> None:
        put_panel(own, ORDER, starter, **NEW)
        response = own.get(f"{PLACE}/report?format=pdf&paper={paper}")
        assert response.content_type == "application/pdf"
        assert response.data.startswith(b"%PDF-1.")
        assert response.data.rstrip().endswith(b"%%EOF")
        width = {"a4": b"595", "letter": b"612"}[paper]
        assert b"/MediaBox [ 0 0 " + width in response.data

    def test_it_is_markdown_for_a_script(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        put_panel(own, ORDER, starter, **NEW)
        response = own.get(f"{PLACE}/report", headers={"Accept": "text/markdown"})
        assert response.content_type == "text/markdown; charset=utf-8"
        assert "**RATED: 18 kA rms symmetrical, 480Y/277 V maximum**" in response.text

    def test_it_is_of_the_revision_that_is_asked_for(
        self, own: FlaskClient, starter: dict[str, Any], weaker: dict[str, Any]
    ) -> None:
        put_panel(own, ORDER, starter, **NEW)
        put_panel(own, ORDER, weaker, **WHATEVER)
        assert "18 kA rms" in own.get(f"{PLACE}/report?format=markdown&revision=1").text
        assert "10 kA rms" in own.get(f"{PLACE}/report?format=markdown").text


class TestComparing:
    def test_it_tells_what_changed_and_why_the_rating_moved(
        self, own: FlaskClient, starter: dict[str, Any], weaker: dict[str, Any]
    ) -> None:
        put_panel(own, ORDER, weaker, **NEW)
        put_panel(own, ORDER, starter, **WHATEVER)
        told = members(own.get(f"{PLACE}/compare?from=1&to=2"))
        assert (told["from"], told["to"], told["difference_amperes"]) == (1, 2, 8_000)
        assert [(move["component"], move["after_amperes"]) for move in told["moved"]] == [("-QA1", 18_000)]
        assert members(own.get(f"{PLACE}/compare")) == told
        back = members(own.get(f"{PLACE}/compare?from=2&to=1"))
        assert back["difference_amperes"] == -8_000

    def test_a_revision_that_is_not_there_is_404(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        put_panel(own, ORDER, starter, **NEW)
        assert members(own.get(f"{PLACE}/compare"))["same"] is True
        problem(own.get(f"{PLACE}/compare?from=1&to=2"), 404, "not-found")
        problem(own.get(f"{PLACE}/compare?from=0&to=1"), 400, "invalid-parameter")


def test_what_is_not_there_is_404_whatever_is_asked_of_it(client: FlaskClient) -> None:
    for what in ("", "/rating", "/nameplate", "/report", "/compare", "/revisions"):
        problem(client.get(f"/v1/orders/TO-0/panels/NO-1{what}"), 404, "not-found")
        problem(client.get(f"/v1/orders/%00/panels/%ED%A0%80{what}"), 404, "not-found")
