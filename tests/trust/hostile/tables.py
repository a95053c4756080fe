"""Tables that are made to hurt: CSV without an end, zip bombs, entity bombs, formulas, links to elsewhere."""

import struct
from collections.abc import Callable
from collections.abc import Iterator
from collections.abc import Mapping
from functools import cache
from io import BytesIO
from zipfile import ZIP_DEFLATED
from zipfile import ZipFile

from sccr.schema.exchange import CSV
from sccr.schema.exchange import XLSX
from sccr.schema.exchange import export_xlsx
from tests.api.prepared import BREAKER
from tests.trust.hostile.attacked import MEBIBYTE
from tests.trust.hostile.attacked import Attacked
from tests.trust.hostile.attacked import Cost

HEAD = b"part,kind,description\n"
SHEET = "xl/worksheets/sheet1.xml"
_TYPES = '<?xml version="1.0"?>'
_MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
_LOL = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
ENTITIES = f'{_TYPES}<!DOCTYPE x [<!ENTITY l0 "lol">{_LOL}]><worksheet {_MAIN}>&l9;</worksheet>'
EXTERNAL = f'{_TYPES}<!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/passwd">]><worksheet {_MAIN}>&f;</worksheet>'


def csv(line: bytes, size: int, head: bytes = HEAD) -> bytes:
    """Return a table of so many of these lines as there is room for."""
    return head + line * (size // len(line))


@cache
def _entries() -> dict[str, bytes]:
    with ZipFile(BytesIO(export_xlsx([BREAKER]))) as book:
        return {name: book.read(name) for name in book.namelist()}


def book(changed: dict[str, bytes | str]) -> bytes:
    """Return the workbook of a part with other entries, or more."""
    stream = BytesIO()
    with ZipFile(stream, "w", ZIP_DEFLATED) as made:
        for name, content in {**_entries(), **changed}.items():
            made.writestr(name, content)
    return stream.getvalue()


def sheet(rows: str) -> bytes:
    """Return a workbook of these rows of XML."""
    return book({SHEET: f"{_TYPES}<worksheet {_MAIN}><sheetData>{rows}</sheetData></worksheet>"})


def _row(number: int, *cells: str) -> str:
    texts = "".join(f'<c t="inlineStr"><is><t>{cell}</t></is></c>' for cell in cells)
    return f'<row r="{number}">{texts}</row>'


def _formula(text: str) -> bytes:
    headed = _row(1, "part", "kind", "description")
    return sheet(f'{headed}<row r="2"><c r="A2" t="str"><f>{text}</f><v>F-1</v></c>{_row(2, "fuse")[13:-6]}</row>')


def _linked() -> bytes:
    """A workbook whose cell is of another workbook, at an address of somebody else's."""
    link = f'{_TYPES}<externalLink {_MAIN}><externalBook r:id="rId1" xmlns:r="x"/></externalLink>'
    relation = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"/>'
    parts: dict[str, bytes | str] = {"xl/externalLinks/externalLink1.xml": link}
    parts["xl/externalLinks/_rels/externalLink1.xml.rels"] = relation
    rows = f'{_row(1, "part", "kind")}<row r="2"><c r="A2"><f>[1]x!A1</f><v>1</v></c></row>'
    parts[SHEET] = f"{_TYPES}<worksheet {_MAIN}><sheetData>{rows}</sheetData></worksheet>"
    return book(parts)


def _many_entries() -> bytes:
    return book({f"xl/{number}.xml": "" for number in range(20_000)})


def _nested(depth: int = 5) -> bytes:
    inner = book({"bomb.xml": b"\0" * (8 * MEBIBYTE)})
    for _ in range(depth):
        stream = BytesIO()
        with ZipFile(stream, "w", ZIP_DEFLATED) as outer:
            outer.writestr("[Content_Types].xml", inner)
            outer.writestr(SHEET, inner)
        inner = stream.getvalue()
    return inner


def _lying() -> bytes:
    """A workbook whose directory says that its largest entry is of ten bytes."""
    content = bytearray(book({SHEET: b"<a>" + b" " * (400 * MEBIBYTE) + b"</a>"}))
    for mark, place in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        start = 0
        while (start := content.find(mark, start)) >= 0:
            if struct.unpack_from("<I", content, start + place)[0] > MEBIBYTE:
                struct.pack_into("<I", content, start + place, 10)
            start += 4
    return bytes(content)


#: The media type of a table, and what makes it; one that has no end is made as long as it is told.
Made = tuple[str, Callable[[int], bytes]]

TABLES: dict[str, Made] = {
    "CSV: one line without an end": (CSV, lambda size: csv(b"a", size)),
    "CSV: a first line without an end": (CSV, lambda size: csv(b"a", size, b"")),
    "CSV: a million columns": (CSV, lambda size: csv(b"a,", min(size, 2_000_000), b"")),
    "CSV: a row of commas without an end": (CSV, lambda size: csv(b",", size)),
    "CSV: a quotation mark that is never closed": (CSV, lambda size: csv(b"a\n", size, HEAD + b'"')),
    "CSV: nothing but empty lines": (CSV, lambda size: csv(b"\n", size)),
    "CSV: nothing but carriage returns": (CSV, lambda size: csv(b"\r", size)),
    "CSV: misquoted rows": (CSV, lambda size: csv(b'"a"b\n', size)),
    "CSV: rows of a thousand cells": (CSV, lambda size: csv(b",".join([b"ab"] * 1_000) + b"\n", size)),
    "CSV: NUL": (CSV, lambda size: csv(b"\0,\0,\0\n", size)),
    "CSV: UTF-16": (CSV, lambda size: "part,kind\nF,fuse\n".encode("utf-16")),
    "CSV: bytes that are no UTF-8": (CSV, lambda size: csv(b"\xff,\xfe,\xfd\n", size)),
    "CSV: no column of what each part needs": (CSV, lambda size: b"kind\nfuse\n"),
    "CSV: formulas": (CSV, lambda size: HEAD + b"=1+1,fuse,=cmd|' /C calc'!A0\n"),
    "XLSX: entities within entities": (XLSX, lambda size: book({SHEET: ENTITIES})),
    "XLSX: an entity of a file of the machine": (XLSX, lambda size: book({SHEET: EXTERNAL})),
    "XLSX: entities in its list of parts": (XLSX, lambda size: book({"[Content_Types].xml": ENTITIES})),
    "XLSX: entities in its shared strings": (XLSX, lambda size: book({"xl/sharedStrings.xml": ENTITIES})),
    "XLSX: a formula": (XLSX, lambda size: _formula('WEBSERVICE("http://127.0.0.1:1/")')),
    "XLSX: a cell of a workbook elsewhere": (XLSX, lambda size: _linked()),
    "XLSX: 1 GB unpacked": (XLSX, lambda size: book({"a.xml": b"<a>" + b"\0" * (1024 * MEBIBYTE)})),
    "XLSX: 20,000 entries": (XLSX, lambda size: _many_entries()),
    "XLSX: an archive in an archive in …": (XLSX, lambda size: _nested()),
    "XLSX: a size that lies": (XLSX, lambda size: _lying()),
    "XLSX: elements 100,000 deep": (XLSX, lambda size: sheet("<row>" * 100_000)),
    "XLSX: a row of two million cells": (XLSX, lambda size: sheet("<row>" + "<c/>" * 2_000_000 + "</row>")),
    "XLSX: two million rows": (XLSX, lambda size: sheet('<row><c t="str"><v>a</v></c></row>' * 2_000_000)),
    "XLSX: as many rows as are read": (XLSX, lambda size: sheet('<row><c t="str"><v>a</v></c></row>' * 240_000)),
    "XLSX: a cell at the end of the sheet": (
        XLSX,
        lambda size: sheet('<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'),
    ),
    "XLSX: a row of an impossible number": (XLSX, lambda size: sheet('<row r="99999999999"><c><v>1</v></c></row>')),
    "XLSX: cut in half": (XLSX, lambda size: book({})[:2_000]),
    "XLSX: not an archive": (XLSX, lambda size: b"PK\x03\x04" + b"\0" * 1_000),
}

#: Usual and nightly size of a table that has no end: the second is the most that is read.
SIZES = {False: 2 * MEBIBYTE, True: 63 * MEBIBYTE}
_COMPONENTS = frozenset({200, 413, 422})
_IMPORTED = frozenset({422})


def tried(service: Attacked, nightly: bool = False, chosen: Mapping[str, Made] = TABLES) -> Iterator[tuple[str, Cost]]:
    """Yield each table and what it cost: imported, tried out, and read as a table of components."""
    for name, (media_type, made) in chosen.items():
        cost = Cost()
        body = made(SIZES[nightly])
        headers = {"Content-Type": media_type}
        before = service.content()
        service.ask(cost, "POST", "/v1/catalogue/import", body, headers, _IMPORTED)
        told = service.ask(cost, "POST", "/v1/catalogue/import?dry_run=true", body, headers, frozenset({200}))
        if told is not None and told.status_code == 200 and told.json()["valid"]:
            cost.faults.append("is said to be valid")
        service.ask(cost, "POST", "/v1/component-tables", body, headers, _COMPONENTS)
        cost.faults += service.changed(before)
        yield name, cost
