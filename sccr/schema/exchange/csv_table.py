"""Tables in CSV files (RFC 4180, UTF-8)."""

import csv
import re
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Sequence
from io import BytesIO
from io import StringIO
from io import TextIOWrapper
from itertools import islice
from typing import Final

from sccr.schema.exchange.guard import without_parting
from sccr.schema.exchange.problem import CellError
from sccr.schema.exchange.problem import NoTable
from sccr.schema.exchange.problem import RowProblem
from sccr.schema.exchange.table import MOST_LINES
from sccr.schema.exchange.table import Cell
from sccr.schema.exchange.table import Row
from sccr.schema.exchange.table import Table
from sccr.schema.exchange.table import table_of
from sccr.schema.problems import shown

_DELIMITERS: Final = ",;\t"
#: A first line by which a file tells a spreadsheet its delimiter.
_STATED: Final = re.compile(r"\"?sep=([,;\t])\"?(?:\r\n|\r|\n)")
_LONGEST_STATED: Final = len('"sep=;"\r\n')
#: The longest row that is taken [characters], and how much of the first line is looked at for what parts its cells.
_LONGEST_ROW: Final = 2**20
_LOOKED_AT: Final = 2**16
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
    lines = TextIOWrapper(BytesIO(body), "utf-8-sig", "surrogateescape", newline="")
    stated = _STATED.fullmatch(lines.readline(_LONGEST_STATED))
    delimiter = stated[1] if stated is not None else _delimiter(body)
    if stated is None:
        lines.seek(0)
    return table_of(_rows(lines, delimiter, 1 if stated else 0))


def write_csv(rows: Iterable[Sequence[str]]) -> bytes:
    """Return the CSV file of these rows, with the byte order mark by which a spreadsheet knows UTF-8."""
    stream = StringIO(newline="")
    csv.writer(stream, lineterminator="\r\n").writerows([list(map(without_parting, row)) for row in rows])
    return stream.getvalue().encode("utf-8-sig")


def _delimiter(body: bytes) -> str:
    """Return what parts the first line in the most cells."""
    lines = TextIOWrapper(BytesIO(body), "utf-8-sig", "surrogateescape", newline=None)
    line = next((line for line in islice(lines, MOST_LINES) if line.strip()), "")
    beginning = line[:_LOOKED_AT]  # of a line without an end, no more
    return max(_DELIMITERS, key=lambda delimiter: len(next(csv.reader([beginning], delimiter=delimiter), ())))


class _Lines:
    """The lines of a file for a reader of rows, as long as no row is longer than any in a list of parts."""

    def __init__(self, lines: Iterable[str]) -> None:
        self._lines = iter(lines)
        self._taken = 0

    def begin(self) -> None:
        """Begin a row."""
        self._taken = 0

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = next(self._lines)
        self._taken += len(line)
        if self._taken > _LONGEST_ROW:
            raise _TooLong
        return line


class _TooLong(Exception):
    """A row has more characters than are taken."""


def _rows(text: Iterable[str], delimiter: str, before: int) -> Iterator[Row | RowProblem]:
    """Yield each row, or what is wrong with it; after a fault of quoting, reading goes on with the next line."""
    lines = _Lines(text)
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    while True:
        line = before + reader.line_num + 1
        lines.begin()
        try:
            cells = next(reader, None)
        except csv.Error as error:
            yield RowProblem(line, None, "not-csv", _why(error))
            continue
        except _TooLong:
            told = f"has more than {_LONGEST_ROW} characters; nothing from here on was read"
            yield RowProblem(line, None, "row-too-long", told)
            return
        if cells is None:
            return
        yield Row(line, tuple(map(_cell, cells)))


def _cell(text: str) -> Cell:
    if text.isascii() or not _NO_UTF_8.search(text):
        return text
    readable = _NO_UTF_8.sub("�", text)
    return CellError("not-utf-8", f'{shown(readable)} holds bytes that are no UTF-8; save the file as "CSV UTF-8"')


def _why(error: csv.Error) -> str:
    if "unexpected end" in str(error):
        return "has a quotation mark that is never closed; everything behind it was read as one cell"
    if "field larger" in str(error):
        return f"has a cell of more than {csv.field_size_limit()} characters"
    return "is no row of a CSV file: a cell that begins with a quotation mark ends with one, and doubles those within"
