"""Tables in CSV files (RFC 4180, UTF-8)."""

import csv
import re
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Sequence
from io import StringIO
from typing import Final

from sccr.schema.exchange.guard import without_parting
from sccr.schema.exchange.problem import CellError
from sccr.schema.exchange.problem import NoTable
from sccr.schema.exchange.problem import RowProblem
from sccr.schema.exchange.table import Cell
from sccr.schema.exchange.table import Row
from sccr.schema.exchange.table import Table
from sccr.schema.exchange.table import table_of

_DELIMITERS: Final = ",;\t"
#: A first line by which a file tells a spreadsheet its delimiter.
_STATED: Final = re.compile(r"\"?sep=([,;\t])\"?(?:\r\n|\r|\n)")
_UTF_16: Final = (b"\xff\xfe", b"\xfe\xff")
_WORKBOOK: Final = b"PK\x03\x04"
#: What a byte that is no UTF-8 is decoded to.
_NO_UTF_8: Final = re.compile("[\udc80-\udcff]")


def read_csv(body: bytes) -> Table:
    """Return the table of a CSV file: commas, semicolons or tabs, with or without a byte order mark.

    Raises NoTable for what is no such file; a row that breaks the rules of quoting is a problem of the table.
    """
    if body.startswith(_UTF_16):
        raise NoTable("not-utf-8", 'is in UTF-16; save it as "CSV UTF-8"')
    if body.startswith(_WORKBOOK):
        raise NoTable("not-csv", "is a workbook and no CSV file; name it .xlsx")
    text = body.decode("utf-8-sig", "surrogateescape")
    stated = _STATED.match(text)
    delimiter = stated[1] if stated is not None else _delimiter(text)
    return table_of(_rows(text[stated.end() :] if stated is not None else text, delimiter, 1 if stated else 0))


def write_csv(rows: Iterable[Sequence[str]]) -> bytes:
    """Return the CSV file of these rows, with the byte order mark by which a spreadsheet knows UTF-8."""
    stream = StringIO(newline="")
    csv.writer(stream, lineterminator="\r\n").writerows([list(map(without_parting, row)) for row in rows])
    return stream.getvalue().encode("utf-8-sig")


def _delimiter(text: str) -> str:
    """Return what parts the first line in the most cells."""
    line = next((line for line in StringIO(text, newline=None) if line.strip()), "")
    return max(_DELIMITERS, key=lambda delimiter: len(next(csv.reader([line], delimiter=delimiter), ())))


def _rows(text: str, delimiter: str, before: int) -> Iterator[Row | RowProblem]:
    """Yield each row, or what is wrong with it; after a fault of quoting, reading goes on with the next line."""
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True)
    read = _cell if _NO_UTF_8.search(text) else str
    while True:
        line = before + reader.line_num + 1
        try:
            cells = next(reader, None)
        except csv.Error as error:
            yield RowProblem(line, None, "not-csv", _why(error))
            continue
        if cells is None:
            return
        yield Row(line, tuple(map(read, cells)))


def _cell(text: str) -> Cell:
    if not _NO_UTF_8.search(text):
        return text
    readable = _NO_UTF_8.sub("�", text)
    return CellError("not-utf-8", f'"{readable[:60]}" holds bytes that are no UTF-8; save the file as "CSV UTF-8"')


def _why(error: csv.Error) -> str:
    if "unexpected end" in str(error):
        return "has a quotation mark that is never closed; everything behind it was read as one cell"
    if "field larger" in str(error):
        return f"has a cell of more than {csv.field_size_limit()} characters"
    return "is no row of a CSV file: a cell that begins with a quotation mark ends with one, and doubles those within"
