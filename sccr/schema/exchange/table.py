"""A table as it was read, whatever the file: rows of cells, each cell text or the reason why it is none."""

from collections.abc import Iterable
from collections.abc import Iterator
from dataclasses import dataclass
from dataclasses import field
from typing import Final

from sccr.schema.exchange.problem import CellError
from sccr.schema.exchange.problem import RowProblem
from sccr.schema.exchange.problem import too_many_problems
from sccr.schema.problems import MOST_PROBLEMS

#: How many rows beside the header: as many as a catalogue may have parts.
MOST_ROWS: Final = 50_000
#: How many columns. A list field may be continued in further columns.
MOST_COLUMNS: Final = 1_000
#: How many cells in all, be they empty: of each a copy is held in memory. 50,000 parts with all that can be marked on
#: them have 2.05 million.
MOST_CELLS: Final = 2_500_000
#: How many lines, be they empty.
MOST_LINES: Final = 250_000

Cell = str | CellError


@dataclass(frozen=True, slots=True)
class Row:
    """A row that is not empty, and where it stands."""

    line: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of a file, the header first, and what could not be read."""

    rows: list[Row] = field(default_factory=list)
    problems: list[RowProblem] = field(default_factory=list)


def table_of(rows: Iterable[Row | RowProblem]) -> Table:
    """Return the table of these rows, up to as many as are taken, without those that are empty."""
    table = Table()
    for row in _within_limits(rows):
        if isinstance(row, RowProblem):
            table.problems.append(row)
        elif any(isinstance(cell, CellError) or cell.strip() for cell in row.cells):
            table.rows.append(row)
        if len(table.rows) > MOST_ROWS + 1:
            line = table.rows.pop().line
            told = f"is beyond the {MOST_ROWS} rows that are taken at once; nothing from here on was read"
            table.problems.append(RowProblem(line, None, "too-many-rows", told))
            break
    return table


def _within_limits(rows: Iterable[Row | RowProblem]) -> Iterator[Row | RowProblem]:
    """Yield the rows until there is more of something than in any table: whatever that is, it is no list of parts."""
    cells = wrong = 0
    for number, row in enumerate(rows, start=1):
        if number > MOST_LINES:
            told = f"is beyond the {MOST_LINES} lines, be they empty, that are read; nothing from here on was"
            yield RowProblem(row.line, None, "too-many-rows", told)
            return
        if isinstance(row, RowProblem):
            wrong += 1
            if wrong > MOST_PROBLEMS:
                yield too_many_problems(row.line)
                return
        elif len(row.cells) > MOST_COLUMNS:
            told = f"has more than {MOST_COLUMNS} cells, be they empty; delete some; nothing from here on was read"
            yield RowProblem(row.line, None, "too-many-columns", told)
            return
        else:
            cells += len(row.cells)
            if cells > MOST_CELLS:
                told = f"is beyond the {MOST_CELLS} cells that are taken at once; nothing from here on was read"
                yield RowProblem(row.line, None, "too-many-cells", told)
                return
        yield row
