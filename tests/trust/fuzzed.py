"""What is fuzzed: each target reads bytes, and either takes them or refuses them by an error that it documents.

Any other error, and whatever contradicts itself, comes out of a target, and is a fault.
"""

import json
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED
from zipfile import ZipFile

import sccr
from api.component_tables import _columns
from api.diagrams import _names
from api.parameters import Misread
from api.parameters import flag
from api.parameters import text
from api.parameters import whole
from api.parts import version_number
from sccr import Catalogue
from sccr.many.lines import lines_in
from sccr.schema import quantity
from sccr.schema.circuit import load_circuit
from sccr.schema.exchange import CSV
from sccr.schema.exchange import XLSX
from sccr.schema.exchange import export_csv
from sccr.schema.exchange import export_xlsx
from sccr.schema.exchange import import_table
from sccr.schema.exchange.component_table import read_component_table
from sccr.schema.load import load_panel
from sccr.schema.misread import QuantityError
from sccr.schema.site.document import load_site
from sccr.schema.temperature import Temperature

FIXTURES = Path(__file__).parents[2] / "fixtures"
CATALOGUE = FIXTURES / "catalogue" / "grain.json"
CORPUS = Path(__file__).with_name("corpus")
REFUSED = (sccr.InvalidDocument, sccr.MalformedJson)

#: Functions that read a string of a caller, each with what it refuses by.
QUANTITIES = (
    *(quantity.current, quantity.ampere_rating, quantity.voltage, quantity.system_voltage, quantity.volt_amperes),
    *(quantity.fault_level, quantity.power, quantity.percent, quantity.i2t, quantity.frequency, quantity.length),
)
PARAMETERS = (_names, _columns, flag, text, whole(1, 200), version_number)
_LONGEST_WORD, _LONGEST_QUANTITY = 30, 20
_SHEET = "xl/worksheets/sheet1.xml"


@cache
def catalogue() -> Catalogue:
    return Catalogue.from_document(CATALOGUE.read_bytes())


def panel(data: bytes) -> None:
    """A panel document; what is taken is rated, too."""
    with suppress(*REFUSED):
        load_panel(data, catalogue(), "2022")
        sccr.rate(data, catalogue()).as_dict()


def parts(data: bytes) -> None:
    """A catalogue."""
    with suppress(*REFUSED):
        Catalogue.from_document(data)


def site(data: bytes) -> None:
    """A site document, and a circuit."""
    for load in (load_site, load_circuit):
        with suppress(*REFUSED):
            load(data)


def csv(data: bytes) -> None:
    """A table of parts and one of components in CSV; what is taken goes out and comes in again as it was."""
    _table(data, CSV)
    components = read_component_table(data, CSV)
    assert len(components.components) == len(components.lines) <= components.rows
    json.dumps(components.as_dict())


def xlsx(data: bytes) -> None:
    """A workbook: as it is, or as the sheet in one that is sound."""
    for body in (data, _workbook(data)):
        _table(body, XLSX)
        json.dumps(read_component_table(body, XLSX).as_dict())


def _table(body: bytes, media_type: str) -> None:
    found = import_table(body, media_type)
    assert (found.catalogue is None) == bool(found.problems or not found.rows) or not found.parts
    for problem in found.problems:
        assert problem.line >= 1 and problem.code and problem.detail.isprintable(), problem
    if found.catalogue is not None and found.parts:
        again = import_table(export_csv(found.parts), CSV)
        assert again.catalogue is not None and again.catalogue.digest == found.catalogue.digest


@cache
def _entries() -> dict[str, bytes]:
    with ZipFile(BytesIO(export_xlsx(json.loads(CATALOGUE.read_bytes())["parts"]))) as book:
        return {name: book.read(name) for name in book.namelist()}


def _workbook(sheet: bytes) -> bytes:
    stream = BytesIO()
    with ZipFile(stream, "w", ZIP_DEFLATED, compresslevel=1) as book:
        for name, content in _entries().items():
            book.writestr(name, sheet if name == _SHEET else content)
    return stream.getvalue()


def lines(data: bytes) -> None:
    """NDJSON in pieces: the lines that whoever has all of it at once sees, each cut at the longest."""
    size, longest, body = 1 + data[0] % 16 if data else 1, data[1] if len(data) > 1 else 0, data[2:]
    pieces = (body[start : start + size] for start in range(0, len(body), size))
    found = list(lines_in(pieces, longest))
    whole_lines = body.split(b"\n")
    if not whole_lines[-1]:
        whole_lines.pop()
    wanted = [line.removesuffix(b"\r") for line in whole_lines]
    assert len(found) == len(wanted)
    for line, whole_line in zip(found, wanted, strict=True):
        assert (
            line == whole_line if len(whole_line) <= longest else (len(line) > longest and whole_line.startswith(line))
        )


def quantities(data: bytes) -> None:
    """A string where a quantity is wanted: read exactly, or refused with a text that prints."""
    written = data.decode("utf-8", "replace")
    for read in (*QUANTITIES, Temperature().read):
        try:
            read(written)
        except QuantityError as error:
            assert error.code and str(error).isprintable()
        except Exception as error:
            if type(error).__name__ != "ValidationError":
                raise


def parameters(data: bytes) -> None:
    """A parameter of a query, as it was decoded from the address."""
    written = data.decode("utf-8", "replace")
    for read in PARAMETERS:
        with suppress(Misread, QuantityError):
            read(written)


@dataclass(frozen=True, slots=True)
class Target:
    """What reads the bytes, what it begins with, and the longest input [bytes]."""

    read: Callable[[bytes], None]
    seeds: Callable[[], Iterator[bytes]]
    longest: int


def _documents(*folders: str) -> Iterator[bytes]:
    for folder in folders:
        for path in sorted((FIXTURES / folder).glob("*.json")):
            yield path.read_bytes()


def _tables() -> Iterator[bytes]:
    yield export_csv(json.loads(CATALOGUE.read_bytes())["parts"][:4])
    yield b"id;kind;fed_from;ampere_rating\n-FC1;circuit breaker;MAINS;15 A\n-QA1;contactor;-FC1;\n"
    yield b'sep=\t\nTag\tDevice type\tFed by\n"-F ""1"""\tfuse\tMAINS\n'


def _sheets() -> Iterator[bytes]:
    yield _entries()[_SHEET][:1500] + b"</sheetData></worksheet>"
    yield export_xlsx(json.loads(CATALOGUE.read_bytes())["parts"][:1])


def _words() -> Iterator[bytes]:
    yield from (word.encode() for word in words() if word[0].isdigit() and len(word) <= _LONGEST_QUANTITY)


def _queries() -> Iterator[bytes]:
    yield from (b'["-FC1","-FC2"]', b'["id",null,"kind"]', b"true", b"200", b"bucket elevator", b"480Y/277 V")


TARGETS: dict[str, Target] = {
    "panel": Target(panel, lambda: _documents("panels"), 20_000),
    "parts": Target(parts, lambda: iter([b'{"format":"catalogue/1","parts":[]}', *_some_parts()]), 20_000),
    "site": Target(site, lambda: _documents("sites", "circuits"), 10_000),
    "csv": Target(csv, _tables, 5_000),
    "xlsx": Target(xlsx, _sheets, 10_000),
    "lines": Target(lines, lambda: iter([b"\x03\x08{}\r\n[]\n\n1", b"\x01\x02\r\n\r\r\n"]), 2_000),
    "quantities": Target(quantities, _words, 60),
    "parameters": Target(parameters, _queries, 600),
}


def _some_parts() -> Iterator[bytes]:
    found: list[Any] = json.loads(CATALOGUE.read_bytes())["parts"]
    for part in found[::5]:
        yield json.dumps({"format": "catalogue/1", "parts": [part]}).encode()


def words() -> list[str]:
    """Return what a fuzzer is told of the formats: the names of fields, and words that mean something."""
    found: set[str] = set()
    for path in sorted(FIXTURES.rglob("*.json")):
        found.update(_words_of(json.loads(path.read_bytes())))
    return sorted(word for word in found if word.isascii() and '"' not in word and 1 < len(word) <= _LONGEST_WORD)


def _words_of(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for each in value:
            yield from _words_of(each)
    elif isinstance(value, dict):
        yield from value
        yield from _words_of(list(value.values()))
