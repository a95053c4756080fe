"""From the parts of a catalogue to a file that gives the same parts back."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from typing import Any
from typing import Final

from sccr.schema.exchange.cells import write_cells
from sccr.schema.exchange.columns import PART_COLUMNS
from sccr.schema.exchange.columns import Column
from sccr.schema.exchange.csv_table import write_csv

_FIELDS: Final = frozenset(column.path[0] for column in PART_COLUMNS)
_OF_TRANSFORMER: Final = {column.path[1]: column for column in PART_COLUMNS if len(column.path) > 1}
_DIGITS: Final = ".15g"
_MOST: Final = 10**15

Cells = dict[str, list[str]]


def export_csv(parts: Sequence[Mapping[str, Any]]) -> bytes:
    """Return the CSV file of parts as a valid document of the format "catalogue/1" holds them.

    The columns are those that some part fills; without parts, all of them: a file to fill in.
    """
    sheet = _Sheet(parts)
    return write_csv([sheet.header, *sheet.rows()])


def export_xlsx(parts: Sequence[Mapping[str, Any]]) -> bytes:
    """Return the XLSX workbook of parts as a valid document of the format "catalogue/1" holds them."""
    from sccr.schema.exchange.xlsx_table import write_xlsx  # only who writes workbooks needs openpyxl

    sheet = _Sheet(parts)
    are_numbers = [column.form.is_number for column, _ in sheet.columns]
    return write_xlsx(sheet.header, are_numbers, sheet.rows_with_numbers())


class _Sheet:
    """The cells of parts, and the columns that they need."""

    def __init__(self, parts: Sequence[Mapping[str, Any]]) -> None:
        self._cells = [_cells(part) for part in parts]
        widths: dict[str, int] = {}
        for cells in self._cells:
            for name, several in cells.items():
                widths[name] = max(widths.get(name, 0), len(several))
        if not widths:
            widths = dict.fromkeys((column.name for column in PART_COLUMNS if column.field is None), 1)
        self.columns = [(column, i) for column in PART_COLUMNS for i in range(widths.get(column.name, 0))]
        self.header = [column.name if i == 0 else f"{column.name} {i + 1}" for column, i in self.columns]

    def rows(self) -> Iterator[list[str]]:
        """Yield the cells of each part."""
        for cells in self._cells:
            yield ["".join(cells.get(column.name, [])[i : i + 1]) for column, i in self.columns]

    def rows_with_numbers(self) -> Iterator[list[str | float]]:
        """Yield the cells of each part, with numbers for those that a spreadsheet holds exactly."""
        numbers = [column for column, _ in self.columns]
        for row in self.rows():
            yield [_number(cell) if column.form.is_number else cell for column, cell in zip(numbers, row, strict=True)]


def _cells(part: Mapping[str, Any]) -> Cells:
    unknown = part.keys() - _FIELDS
    if unknown:
        raise ValueError(f"no column for {', '.join(map(repr, sorted(unknown)))}: this is no part of a catalogue")
    return {column.name: write_cells(column, value) for column, value in _values(part)}


def _values(part: Mapping[str, Any]) -> Iterator[tuple[Column, Any]]:
    for name, value in part.items():
        if name == "transformer" and value and value.keys() <= _OF_TRANSFORMER.keys():
            yield from ((_OF_TRANSFORMER[member], marked) for member, marked in value.items())
        else:
            yield _column(name, value), value


def _column(name: str, value: Any) -> Column:
    """Return the column of a field: a price that is a number of JSON has one of its own, which keeps it one."""
    if name == "price" and not isinstance(value, str):
        name = "price_number"
    return _BY_NAME[name]


_BY_NAME: Final = {column.name: column for column in PART_COLUMNS}


def _number(cell: str) -> str | float:
    """Return the number of a cell, if it has one of at most the 15 digits that a spreadsheet keeps."""
    try:
        number = int(cell) if cell.lstrip("-").isdecimal() else float(cell)
    except ValueError:
        return cell
    return number if abs(number) < _MOST and float(format(number, _DIGITS)) == number else cell
