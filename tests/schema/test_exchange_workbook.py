"""Workbooks: values only, and nothing that a workbook could be besides a list of parts."""

from collections.abc import Callable
from datetime import date
from io import BytesIO
from random import Random
from time import process_time
from typing import Any
from zipfile import ZIP_BZIP2
from zipfile import ZIP_DEFLATED
from zipfile import ZipFile

import openpyxl
import pytest

from sccr.schema.exchange import XLSX
from sccr.schema.exchange import ImportResult
from sccr.schema.exchange import export_xlsx
from sccr.schema.exchange import import_table

SHEET = "xl/worksheets/sheet1.xml"


def workbook(*rows: list[Any], title: str = "parts") -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(row)
    return saved(book)


def saved(book: openpyxl.Workbook) -> bytes:
    stream = BytesIO()
    book.save(stream)
    return stream.getvalue()


def told(result: ImportResult) -> list[tuple[int, str | None, str]]:
    return [(problem.line, problem.column, problem.code) for problem in result.problems]


def refusal(body: bytes) -> tuple[str, str]:
    result = import_table(body, "parts.xlsx")
    (problem,) = result.problems
    assert result.parts == ()
    return problem.code, problem.detail


def repacked(body: bytes, change: Callable[[str, bytes], bytes], **more: bytes) -> bytes:
    """The workbook with its entries changed, and with more of them."""
    stream = BytesIO()
    with ZipFile(BytesIO(body)) as old, ZipFile(stream, "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
        for name, content in more.items():
            new.writestr(name, content)
    return stream.getvalue()


def with_sheet(xml: str) -> bytes:
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    sheet = f'<worksheet xmlns="{main}"><sheetData>{xml}</sheetData></worksheet>'.encode()
    return repacked(workbook(["part", "kind"]), lambda name, old: sheet if name == SHEET else old)


def test_values_are_taken_as_they_are_typed() -> None:
    result = import_table(
        workbook(
            ["part", "kind", "poles", "ampere_rating", "current_limiting", "price", "price_number", "stock"],
            ["OAT-1", "circuit_breaker", 3, "30 A", True, 12.5, None, 4.0],
            [123, "circuit_breaker", "3", " 30 A ", "no", "12.50", 12.5, "4"],
        ),
        XLSX,
    )
    assert result.parts == (
        {
            "part": "OAT-1",
            "kind": "circuit_breaker",
            "poles": 3,
            "ampere_rating": "30 A",
            "current_limiting": True,
            "price": "12.5",
            "stock": 4,
        },
    )
    assert told(result) == [(3, "price_number", "contradiction")]


def test_what_a_spreadsheet_made_of_what_was_typed_is_told_by_row_and_column() -> None:
    body = workbook(
        ["part", "kind", "ampere_rating", "description", "poles"],
        ["OAT-1", "fuse", 30, "=1+1", "=SUM(A1:A2)"],
        [],
        [date(2026, 3, 4), "fuse", "30 A", "='[1]prices.xlsx'!A1", "#N/A"],
        [1234567890123456, "fuse", None, "x", 3.5],
    )
    result = import_table(body, "parts.xlsx")
    assert told(result) == [
        (2, "ampere_rating", "not-a-quantity"),
        (2, "description", "formula"),
        (2, "poles", "formula"),
        (4, "part", "date"),
        (4, "description", "formula"),
        (4, "poles", "error-value"),
        (5, "part", "number-cell"),
        (5, "poles", "not-an-integer"),
    ]
    assert (result.parts, result.rows) == ((), 3)


def test_the_sheet_called_parts_is_read_or_the_only_one() -> None:
    assert import_table(workbook(["part", "kind"], ["F", "fuse"], title="Sheet1"), "a.xlsx").rows == 1

    book = openpyxl.Workbook()
    book.create_sheet("Parts").append(["part", "kind"])
    assert import_table(saved(book), "a.xlsx").problems == ()
    book["Parts"].title = "Sheet2"
    code, detail = refusal(saved(book))
    assert (code, '"Sheet2"' in detail) == ("which-sheet", True)


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"PK\x03\x04",
        b"part,kind\n",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
        export_xlsx([])[:-100],
        repacked(workbook(["part"]), lambda name, old: b"<worksheet><a>" if name == SHEET else old),
        repacked(workbook(["part"]), lambda name, old: b"" if name == "xl/workbook.xml" else old),
    ],
)
def test_what_is_no_workbook_is_told(body: bytes) -> None:
    assert refusal(body)[0] == "not-xlsx"


def test_a_workbook_of_other_things_than_sheets_is_refused() -> None:
    stream = BytesIO()
    with ZipFile(stream, "w") as archive:
        archive.writestr("photo.png", b"\x89PNG")
    assert refusal(stream.getvalue())[0] == "not-xlsx"


def test_an_archive_of_too_many_entries_is_refused_unread() -> None:
    more = {f"xl/media/{number}.png": b"" for number in range(1_001)}
    assert refusal(repacked(workbook(["part"]), lambda _, old: old, **more))[0] == "too-large"


def test_an_archive_that_unpacks_to_too_much_is_refused_unread(monkeypatch: pytest.MonkeyPatch) -> None:
    body = repacked(workbook(["part"]), lambda _, old: old, **{"xl/media/a.png": bytes(257 * 2**20)})
    assert len(body) < 2**20
    monkeypatch.setattr(ZipFile, "open", None)
    assert refusal(body) == ("too-large", "the file unpacks to 257 MiB; 256 MiB are the most")


def test_an_archive_that_lies_about_its_size_is_refused() -> None:
    body = repacked(workbook(["part", "kind"]), lambda name, old: old + b" " * 10_000 if name == SHEET else old)
    with ZipFile(BytesIO(body)) as archive:
        size = archive.getinfo(SHEET).file_size
    assert refusal(body.replace(size.to_bytes(4, "little"), (200).to_bytes(4, "little")))[0] == "not-xlsx"


def test_an_archive_packed_in_another_way_is_refused() -> None:
    stream = BytesIO()
    with ZipFile(stream, "w", ZIP_BZIP2) as archive:
        archive.writestr("a.xml", b" " * 10_000)
    assert refusal(stream.getvalue())[0] == "not-xlsx"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize("entry", [SHEET, "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml"])
def test_entities_are_refused_before_they_grow(entry: str, encoding: str) -> None:
    grown = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 10))
    xml = f'<?xml version="1.0" encoding="{encoding}"?><!DOCTYPE a [<!ENTITY e0 "x">{grown}]><a>&e9;</a>'
    code, detail = refusal(
        repacked(workbook(["part"]), lambda name, old: xml.encode(encoding) if name == entry else old)
    )
    assert (code, "document type" in detail) == ("not-xlsx", True)


def test_more_elements_than_a_row_can_have_are_refused_before_they_are_held() -> None:
    assert refusal(with_sheet("<row>" + "<c/>" * 200_000 + "</row>"))[0] == "too-large"
    assert refusal(with_sheet("<x/>" * 200_000))[0] == "too-large"


def test_a_row_far_down_takes_no_time_and_one_far_to_the_right_is_refused() -> None:
    started = process_time()
    head = '<row r="1"><c r="A1" t="inlineStr"><is><t>part</t></is></c></row>'
    last = import_table(with_sheet(f'{head}<row r="1048576"><c r="A1048576" t="b"><v>1</v></c></row>'), "a.xlsx")
    assert last.problems[-1].line == 1
    assert last.rows == 1
    beyond = import_table(with_sheet(f'{head}<row r="2000000000"><c r="A2000000000"><v>1</v></c></row>'), "a.xlsx")
    assert beyond.rows == 0
    wide = import_table(with_sheet(f'{head}<row r="2"><c r="ZZZ2"><v>1</v></c></row>'), "a.xlsx")
    assert (2, None, "too-many-columns") in told(wide)
    assert process_time() - started < 10


def test_a_workbook_damaged_anywhere_is_a_problem_and_no_more() -> None:
    parts = [{"part": f"OAT-{n}", "kind": "circuit_breaker", "poles": 3, "description": "=1"} for n in range(20)]
    body = export_xlsx(parts)
    chance = Random(3)
    for _ in range(150):
        damaged = bytearray(body)
        for _ in range(chance.randint(1, 4)):
            damaged[chance.randrange(len(body))] = chance.randrange(256)
        result = import_table(bytes(damaged), "parts.xlsx")
        assert result.problems or list(result.parts) == parts


def test_a_workbook_whose_xml_is_damaged_is_a_problem_and_no_more() -> None:
    body = workbook(["part", "kind", "stock"], ["F", "fuse", 3])
    chance = Random(5)
    for _ in range(150):
        entry = chance.choice([SHEET, "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml"])
        damaged = repacked(body, lambda name, old, entry=entry: _bitten(old, chance) if name == entry else old)
        result = import_table(damaged, "parts.xlsx")
        assert len(result.parts) == len(result.lines) <= result.rows


def _bitten(xml: bytes, chance: Random) -> bytes:
    start = chance.randrange(len(xml))
    return xml[:start] + bytes(chance.choices(b'<>/"=09ar ', k=chance.randint(0, 3))) + xml[start + 3 :]
