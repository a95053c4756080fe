"""What the page asks the service for beside ratings: the diagram of a document, and the components of a table."""

import json
from io import BytesIO
from urllib.parse import quote
from xml.etree import ElementTree

from flask.testing import FlaskClient
from openpyxl import Workbook

from api.page import demos
from api.page import palette
from sccr import rate
from sccr.panel.kinds import kinds
from sccr.report.diagram.as_svg import as_svg
from sccr.report.diagram.symbols import Symbols
from sccr.schema.exchange import XLSX
from tests.bench.lines import line_of

from .conftest import demo_document


def drawn(client: FlaskClient, document: object, query: str = "") -> ElementTree.Element:
    answer = client.post(f"/v1/diagrams{query}", json=document)
    assert answer.status_code == 200, answer.text
    assert answer.content_type == "image/svg+xml"
    return ElementTree.fromstring(answer.data)


def ids(svg: ElementTree.Element) -> set[str]:
    return {each.attrib["data-component"] for each in svg.iter() if "data-component" in each.attrib}


def words(svg: ElementTree.Element, name: str) -> str:
    return " ".join(next(each for each in svg.iter() if each.get("data-component") == name).itertext())


def test_the_diagram_is_that_of_the_report(client: FlaskClient) -> None:
    document = line_of(30)
    for symbols in Symbols:
        answer = client.post(f"/v1/diagrams?symbols={symbols.value}", json=document)
        assert answer.text == as_svg(rate(document), document, symbols=symbols)


def test_a_branch_is_folded_into_what_feeds_it(client: FlaskClient) -> None:
    document = line_of(30)
    whole = ids(drawn(client, document))
    folded = drawn(client, document, "?folded=" + quote('["FC1", "nobody"]'))
    assert whole - ids(folded) == {"KM1", "FR1", "MA1"}
    assert "+ 3 folded" in words(folded, "FC1")
    assert "folded" not in words(folded, "FC2")


def test_what_limits_does_not_vanish_in_a_fold(client: FlaskClient) -> None:
    document = json.loads(demo_document("unmarked_contactor").read_bytes())
    folded = drawn(client, document, "?folded=" + quote('["-FC1"]'))
    assert "LIMITS: -QA1" in words(folded, "-FC1")


def test_what_is_fed_from_two_sides_stays_while_one_of_them_does(client: FlaskClient) -> None:
    document = line_of(10)
    next(each for each in document["components"] if each["id"] == "MA1")["fed_from"] = ["FR1", "FR2"]
    shown = ids(drawn(client, document, "?folded=" + quote('["FC1"]')))
    assert "KM1" not in shown
    assert "MA1" in shown
    assert "MA1" not in ids(drawn(client, document, "?folded=" + quote('["FC1", "FC2"]')))


def test_folding_everything_leaves_the_supply(client: FlaskClient) -> None:
    assert ids(drawn(client, line_of(30), "?folded=" + quote('["S"]'))) == {"S"}


def test_a_list_of_folds_that_is_none_is_refused(client: FlaskClient) -> None:
    for wrong in ("FC1", "[1]", '{"a":1}', '["a","a'):
        answer = client.post("/v1/diagrams?folded=" + quote(wrong), json=line_of(5))
        assert answer.status_code == 400
        assert answer.get_json()["errors"][0]["code"] == "not-a-list"


def test_a_wrong_document_is_refused_as_it_is_for_a_rating(client: FlaskClient) -> None:
    wrong = {**line_of(5), "supplys": []}
    one, other = (client.post(path, json=wrong).get_json()["errors"] for path in ("/v1/diagrams", "/v1/ratings"))
    assert one == other


def test_the_pointers_of_a_table_are_its_lines(client: FlaskClient) -> None:
    text = "ref des,KIND,fed by,ampere rating\n-FC1,circuit-breaker,S,15 A\n\n-QA1,contactor,-FC1,=A1\n"
    read = client.post("/v1/component-tables", data=text, content_type="text/csv").get_json()
    assert read["columns"] == ["id", "kind", "fed_from", "ampere_rating"]
    assert read["components"][0] == {"id": "-FC1", "kind": "circuit_breaker", "fed_from": "S", "ampere_rating": "15 A"}
    assert read["lines"] == [2, 4]
    assert [(each["line"], each["column"]) for each in read["problems"]] == [(4, "ampere_rating")]


def test_a_workbook_is_a_table_too(client: FlaskClient) -> None:
    book = Workbook()
    for row in (["Tag", "Type", "Poles"], ["-FC1", "Circuit breaker", 3]):
        book.active.append(row)
    stream = BytesIO()
    book.save(stream)
    query = "?columns=" + quote('["id", "kind", null]')
    read = client.post(f"/v1/component-tables{query}", data=stream.getvalue(), content_type=XLSX).get_json()
    assert read["components"] == [{"id": "-FC1", "kind": "circuit_breaker"}]


def test_a_column_that_there_is_not_is_refused(client: FlaskClient) -> None:
    for wrong, code in (('["id","price"]', "unknown-column"), ("id", "not-a-list")):
        answer = client.post("/v1/component-tables?columns=" + quote(wrong), data="a,b\n", content_type="text/csv")
        assert (answer.status_code, answer.get_json()["errors"][0]["code"]) == (400, code)
    assert client.post("/v1/component-tables", data="{}", content_type="application/json").status_code == 415


def test_what_is_told_of_a_demo_is_plain_text() -> None:
    for demo in demos.panels():
        assert demo["title"], demo["name"]
        assert demo["teaches"], demo["name"]
        assert "`" not in demo["title"] + demo["teaches"], demo["name"]


def test_the_palette_has_every_kind_with_its_symbols() -> None:
    shown = palette.kinds()
    assert [each["name"] for each in shown] == list(kinds())
    assert all(
        ElementTree.fromstring(drawing).tag.endswith("svg") for each in shown for drawing in each["symbols"].values()
    )
