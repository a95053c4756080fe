"""The XML of worksheets: read as openpyxl reads it, in a fraction of the time; what is out of order is refused."""

from datetime import date
from io import BytesIO
from typing import Any
from zipfile import ZipFile

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sccr.schema.exchange import export_xlsx
from sccr.schema.exchange.problem import CellError
from sccr.schema.exchange.problem import NoTable
from sccr.schema.exchange.xlsx_table import read_xlsx

from .test_exchange_workbook import repacked
from .test_exchange_workbook import with_sheet
from .test_exchange_workbook import workbook

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"

TEXTS = st.text(st.characters(exclude_categories=["C"]) | st.sampled_from("\n\t<&>\"'_x005F"), max_size=12)
VALUES = st.one_of(
    st.none(),
    TEXTS.filter(lambda text: not text.startswith("=")),
    st.booleans(),
    st.integers(-(10**14), 10**14),
    st.floats(-1e9, 1e9),
    st.dates(date(1950, 1, 1), date(2100, 1, 1)),
)


def as_read(value: Any) -> str:
    """What a cell should say, from what openpyxl reads; of an error or a date, only that it is none."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return str(int(value)) if value == int(value) else repr(value)
    return "" if value is None else value if isinstance(value, str) else "no value"


def rows_of(body: bytes) -> list[tuple[int, list[str]]]:
    table = read_xlsx(body)
    assert table.problems == []
    return [
        (row.line, ["no value" if isinstance(cell, CellError) else cell for cell in row.cells]) for row in table.rows
    ]


@given(st.lists(st.lists(VALUES, max_size=6), max_size=6))
def test_what_openpyxl_reads_is_read(rows: list[list[Any]]) -> None:
    body = workbook(*rows)
    sheet = openpyxl.load_workbook(BytesIO(body))["parts"]
    expected = []
    for number, row in enumerate(sheet.iter_rows(), start=1):
        cells = ["no value" if cell.data_type == "e" else as_read(cell.value) for cell in row]
        while cells and cells[-1] == "":
            cells.pop()
        if any(cell.strip() for cell in cells):
            expected.append((number, cells))
    found = []
    for number, cells in rows_of(body):
        while cells and cells[-1] == "":
            cells.pop()
        found.append((number, cells))
    assert found == expected


def with_texts(items: str, *cells: str) -> bytes:
    """A workbook of one row whose cells are texts that cells share, which openpyxl does not write."""
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
    declared = f'<Override PartName="/xl/sharedStrings.xml" ContentType="{kind}"/></Types>'.encode()
    texts = f'<sst xmlns="{MAIN}">{items}</sst>'.encode()

    def change(name: str, old: bytes) -> bytes:
        return old.replace(b"</Types>", declared) if name == "[Content_Types].xml" else old

    body = with_sheet(f"<row>{''.join(cells)}</row>")
    return repacked(body, change, **{"xl/sharedStrings.xml": texts})


def test_texts_that_cells_share_are_read_without_how_they_are_pronounced() -> None:
    items = (
        "<si><t>plain</t></si>"
        '<si><r><rPr><b/></rPr><t>bold </t></r><r><t xml:space="preserve">and not</t></r></si>'
        "<si><t>\u7a40\u7269</t><rPh sb='0' eb='2'><t>\u3053\u304f\u3082\u3064</t></rPh><phoneticPr fontId='1'/></si>"
        "<si><t>_x005F_x000D_</t></si>"
        "<si/>"
    )
    cells = [f'<c t="s"><v>{number}</v></c>' for number in (2, 0, 1, 3, 4, 0)]
    expected = ["\u7a40\u7269", "plain", "bold and not", "_x000D_", "", "plain"]
    assert rows_of(with_texts(items, *cells)) == [(1, expected)]


def test_cells_and_rows_need_not_say_where_they_are() -> None:
    row = '<row><c><v>1</v></c><c r="D1"><v>4</v></c><c t="str"><v>five</v></c></row>'
    far = '<row r="7"><c r="B7" t="inlineStr"><is><t>x</t></is></c></row><row><c><v>8.50</v></c></row>'
    assert rows_of(with_sheet(row + far)) == [(1, ["1", "", "", "4", "five"]), (7, ["", "x"]), (8, ["8.5"])]


@pytest.mark.parametrize(
    "xml",
    [
        '<row r="2"><c r="A2"><v>1</v></c></row><row r="2"><c r="B2"><v>1</v></c></row>',
        '<row r="3"><c r="A3"><v>1</v></c></row><row r="2"><c r="A2"><v>1</v></c></row>',
        '<row><c r="A1"><v>65</v></c><c r="A1"><v>5</v></c></row>',
        '<row><c r="1"><v>1</v></c></row>',
        '<row><c r="a1"><v>1</v></c></row>',
        '<row><c t="s"><v>99</v></c></row>',
        '<row><c t="new"><v>1</v></c></row>',
        "<row><c><v>nan</v></c></row>",
        '<row r="one"><c><v>1</v></c></row>',
    ],
)
def test_a_sheet_of_which_two_readers_could_make_two_tables_is_refused(xml: str) -> None:
    with pytest.raises(NoTable) as refused:
        read_xlsx(with_sheet(xml))
    assert refused.value.code == "not-xlsx"


def test_a_workbook_is_the_same_bytes_whenever_it_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    parts = [{"part": "OAT-1", "kind": "fuse", "description": "<a> & b", "stock": 3, "price": 12.5}]
    first = export_xlsx(parts)
    monkeypatch.setattr("time.time", lambda: 2_000_000_000.0)
    assert export_xlsx(parts) == first
    with ZipFile(BytesIO(first)) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert b"1980-01-01T00:00:00Z" in archive.read("docProps/core.xml")
    sheet = openpyxl.load_workbook(BytesIO(first))["parts"]
    formats = {cell.value: cell.number_format for cell in sheet[2]}
    assert formats == {"OAT-1": "@", "fuse": "@", "<a> & b": "@", 12.5: "General", 3: "General"}
