"""Tables in XLSX workbooks (ISO/IEC 29500): values only, never formulas, links or macros."""

from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Sequence
from io import BytesIO
from typing import Any
from typing import Final

from openpyxl import Workbook
from openpyxl import load_workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from sccr.schema.exchange.package import refuse_bombs
from sccr.schema.exchange.problem import CellError
from sccr.schema.exchange.problem import NoTable
from sccr.schema.exchange.table import MOST_COLUMNS
from sccr.schema.exchange.table import Cell
from sccr.schema.exchange.table import Row
from sccr.schema.exchange.table import Table
from sccr.schema.exchange.table import table_of
from sccr.schema.problems import shown

SHEET: Final = "parts"

_LAST_ROW: Final = 1_048_576
_LONGEST_CELL: Final = 32_767
_MOST_DIGITS: Final = 10**15
_WIDTH: Final = 18
_GENERAL: Final = "General"
_TEXT: Final = "@"
_FORMULA: Final = "f"
_ERROR: Final = "e"
_DATE: Final = "d"


def read_xlsx(body: bytes) -> Table:
    """Return the table of a workbook: of its sheet "parts", or of its only sheet.

    Raises NoTable for what is no workbook, or one that unpacks to more than any list of parts.
    """
    refuse_bombs(body)
    try:
        book = load_workbook(BytesIO(body), read_only=True, keep_links=False)
        try:
            return table_of(_rows(_sheet(book)))
        finally:
            book.close()
    except NoTable:
        raise
    except Exception as error:  # openpyxl promises no kind of error for a workbook that is not as it should be
        raise NoTable("not-xlsx", "is no .xlsx workbook, or a damaged one") from error


def write_xlsx(header: Sequence[str], are_numbers: Sequence[bool], rows: Iterable[Sequence[str | float]]) -> bytes:
    """Return the workbook of a header and rows.

    Every column but those of numbers is formatted as text: a spreadsheet would make dates and numbers of part numbers.
    """
    book = Workbook(write_only=True)
    sheet = book.create_sheet(SHEET)
    sheet.freeze_panes = "B2"
    cells = [WriteOnlyCell(sheet) for _ in header]
    for number, cell in enumerate(cells, start=1):
        cell.number_format = _GENERAL if are_numbers[number - 1] else _TEXT
        column = sheet.column_dimensions[get_column_letter(number)]
        column.width, column.number_format = _WIDTH, cell.number_format
    sheet.append([_heading(sheet, name) for name in header])
    for row in rows:
        sheet.append([_written(cell, value) for cell, value in zip(cells, row, strict=True)])
    stream = BytesIO()
    book.save(stream)
    return stream.getvalue()


def _heading(sheet: Any, name: str) -> Any:
    cell = WriteOnlyCell(sheet, name)
    cell.font = Font(bold=True)
    return cell


def _written(cell: Any, value: str | float) -> Any:
    """Return the cell of a column with another value: a row is written before the next is made."""
    if value == "":
        return None
    if isinstance(value, str) and len(value.encode("utf-16-le")) // 2 > _LONGEST_CELL:
        raise ValueError(f"a cell of {len(value)} characters does not fit in a workbook")
    cell.value = value
    if isinstance(value, str):
        cell.data_type = "s"  # else "#N/A" would be an error
    return cell


def _sheet(book: Any) -> Any:
    sheets = book.worksheets
    named = [sheet for sheet in sheets if sheet.title.strip().casefold() == SHEET]
    if len(named or sheets) != 1:
        titles = ", ".join(shown(sheet.title) for sheet in sheets[:5])
        raise NoTable("which-sheet", f'has {len(sheets)} sheets ({titles}); name the one that is meant "{SHEET}"')
    return (named or sheets)[0]


def _rows(sheet: Any) -> Iterator[Row]:
    sheet.reset_dimensions()  # what the file says of its size need not be true
    for number, cells in enumerate(sheet.iter_rows(max_row=_LAST_ROW), start=1):
        if cells:
            shortened = cells[: MOST_COLUMNS + 1]  # enough to see that they are too many
            yield Row(number, tuple(map(_cell, shortened)))


def _cell(cell: Any) -> Cell:
    value = cell.value
    if cell.data_type == _FORMULA:
        return CellError("formula", "is a formula, and only values are taken; copy it and paste its value in its place")
    if isinstance(value, str):
        return value if cell.data_type != _ERROR else CellError("error-value", f"{shown(value)} is an error, no value")
    if value is None:
        return ""
    if cell.data_type == _DATE:
        told = "is a date, which the spreadsheet made of what was typed; format the column as text and type it again"
        return CellError("date", told)
    return _digits(value)


def _digits(value: float) -> Cell:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if abs(value) >= _MOST_DIGITS:
        told = "is a number of more than 15 digits, of which a spreadsheet keeps 15; format the column as text"
        return CellError("number-cell", f"{told} and type it again")
    return str(int(value)) if value == int(value) else repr(value)
