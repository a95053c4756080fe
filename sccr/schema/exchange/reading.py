"""From a table to documents: a row each, by the columns that are wanted, whatever they describe."""

import re
from collections.abc import Iterator
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field
from typing import Any
from typing import Final

from sccr.schema.exchange.cells import joined
from sccr.schema.exchange.cells import read_cell
from sccr.schema.exchange.columns import Column
from sccr.schema.exchange.problem import CellError
from sccr.schema.exchange.problem import RowProblem
from sccr.schema.exchange.problem import too_many_problems
from sccr.schema.exchange.table import Cell
from sccr.schema.exchange.table import Row
from sccr.schema.exchange.table import Table
from sccr.schema.nearest import Nearest
from sccr.schema.problems import MOST_PROBLEMS
from sccr.schema.problems import shown

Path = tuple[str, ...]

_SPACES: Final = re.compile(r"[\s_]+")
_LONGEST_HEADER: Final = 64
_CONTINUED: Final = re.compile(r"(.+)_[0-9]{1,3}")


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value of a row came from: the header of its column, and how many entries of a list it gave."""

    header: str
    entries: int


@dataclass(frozen=True, slots=True)
class ReadRow:
    """What a row says, as a document; where each value stands; and which were there and could not be read."""

    line: int
    document: dict[str, Any]
    sources: dict[Path, list[Source]]
    unread: set[Path]


@dataclass(frozen=True, slots=True)
class ReadTable:
    """The rows of a table, its headers, the required columns that it lacks, and everything that is wrong so far."""

    rows: list[ReadRow] = field(default_factory=list)
    headers: list[str] = field(default_factory=list)
    lacking: list[Column] = field(default_factory=list)
    problems: list[RowProblem] = field(default_factory=list)


def read_rows(table: Table, columns: Sequence[Column]) -> ReadTable:
    """Return the documents of the rows behind the header."""
    read = ReadTable(problems=[*table.problems])
    if not table.rows:
        if not table.problems:
            read.problems.append(RowProblem(1, None, "empty", "the table is empty; its first row names the columns"))
        return read
    header = _Header(columns)
    headed = header.headed(table.rows[0])
    read.headers.extend(each.header for each in headed)
    read.problems.extend(header.problems)
    read.lacking.extend(header.lacking)
    for row in table.rows[1:]:
        if len(read.problems) > MOST_PROBLEMS:
            read.problems.append(too_many_problems(row.line))
            break
        read.rows.append(_row(row, headed, read.problems))
    return read


@dataclass(frozen=True, slots=True)
class _Headed:
    """A column of the file, and what it is: nothing where its header is not known."""

    header: str
    column: Column | None
    path: Path = ()


_BEYOND: Final = _Headed("", None)


class _Header:
    """Reads the first row."""

    def __init__(self, columns: Sequence[Column]) -> None:
        self._columns = {column.name: column for column in columns}
        self._nearest = Nearest()
        self._seen: set[str] = set()
        self.problems: list[RowProblem] = []
        self.lacking: list[Column] = []

    def headed(self, row: Row) -> list[_Headed]:
        """Return what each column of the file is."""
        columns = [self._column(row.line, cell) for cell in row.cells]
        headed = [_Headed(_text_of(cell), c, c.path if c else ()) for cell, c in zip(row.cells, columns, strict=True)]
        self.lacking = [c for name, c in self._columns.items() if c.required and name not in self._seen]
        for column in self.lacking:
            told = "is missing: the first row names the columns, and this must be one of them"
            self.problems.append(RowProblem(row.line, column.name, "missing-column", told))
        return headed

    def _column(self, line: int, cell: Cell) -> Column | None:
        text = _text_of(cell)
        if isinstance(cell, CellError):
            self.problems.append(RowProblem(line, None, cell.code, cell.detail))
            return None
        if not text:
            return None
        name = _SPACES.sub("_", text.casefold())
        continued = _CONTINUED.fullmatch(name)
        column = self._columns.get(name) or (self._columns.get(continued[1]) if continued is not None else None)
        if column is None:
            self.problems.append(RowProblem(line, text, "unknown-column", self._unknown(text, name)))
        elif not column.many and (column.name in self._seen or continued is not None):
            told = "stands more than once, and only a list is continued in further columns; keep one"
            self.problems.append(RowProblem(line, text, "duplicate-column", told))
            return None
        if column is not None:
            self._seen.add(column.name)
        return column

    def _unknown(self, text: str, name: str) -> str:
        near = self._nearest.names(name, self._columns)
        meant = f"; did you mean {shown(near[0])}?" if near else "; leave it out"
        return f"{shown(text)} is no column here{meant}"


def _text_of(cell: Cell) -> str:
    return cell.strip()[:_LONGEST_HEADER] if isinstance(cell, str) else ""


def _row(row: Row, headed: list[_Headed], problems: list[RowProblem]) -> ReadRow:
    read = ReadRow(row.line, {}, {}, set())
    values: dict[str, tuple[_Headed, list[Any]]] = {}
    for head, column, cell in _filled(row, headed, problems):
        try:
            if isinstance(cell, CellError):
                raise cell
            value = read_cell(column, cell)
        except CellError as error:
            problems.append(RowProblem(row.line, head.header, error.code, error.detail))
            read.unread.add(head.path)
        else:
            values.setdefault(column.name, (head, []))[1].append(value)
            entries = len(value) if isinstance(value, list) else 1
            read.sources.setdefault(head.path, []).append(Source(head.header, entries))
    for name, (head, several) in values.items():
        if not _put(read.document, head.path, joined(several)):
            told = f"says {'.'.join(head.path)}, which another column of this row says as well; keep one"
            problems.append(RowProblem(row.line, name, "contradiction", told))
    return read


def _filled(row: Row, headed: list[_Headed], problems: list[RowProblem]) -> Iterator[tuple[_Headed, Column, Cell]]:
    """Yield the cells of a row that say something, each with its column; one without a header is a problem."""
    for number, cell in enumerate(row.cells):
        text = cell if isinstance(cell, CellError) else cell.strip()
        if text == "":
            continue
        place = headed[number] if number < len(headed) else _BEYOND
        if place.column is not None:
            yield place, place.column, text
        elif not place.header:
            told = f"cell {number + 1} of the row stands in a column without a name; name the column or clear the cell"
            problems.append(RowProblem(row.line, None, "no-column", told))


def _put(document: dict[str, Any], path: Path, value: Any) -> bool:
    """Put a value in its place, and say whether the place was free."""
    place: Any = document
    for token in path[:-1]:
        place = place.setdefault(token, {})
    if not isinstance(place, dict) or path[-1] in place:
        return False
    place[path[-1]] = value
    return True


def source_of(row: ReadRow, place: Sequence[str]) -> tuple[str, str]:
    """Return the column in which what is at a place of the row's document was written, and the place within it."""
    for length in (2, 1):
        path = tuple(place[:length])
        sources = row.sources.get(path)
        if sources is not None:
            return _within(sources, place[length:])
    return ".".join(place[:1]), _words(place[1:])


def _within(sources: list[Source], rest: Sequence[str]) -> tuple[str, str]:
    if not rest or not rest[0].isdecimal():
        return sources[0].header, _words(rest)
    entry = int(rest[0])
    for source in sources[:-1]:
        if entry < source.entries:
            break
        entry -= source.entries
    else:
        source = sources[-1]
    return source.header, ", ".join(filter(None, (f"entry {entry + 1}", _words(rest[1:]))))


def _words(place: Sequence[str]) -> str:
    return ".".join(place)
