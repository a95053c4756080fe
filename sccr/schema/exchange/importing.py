"""From a file to the parts of a catalogue, or to everything that is wrong with it."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf
from pathlib import PurePosixPath
from typing import Any
from typing import Final

from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.schema.catalogue import FORMAT
from sccr.schema.catalogue import Catalogue
from sccr.schema.exchange.columns import PART_COLUMNS
from sccr.schema.exchange.csv_table import read_csv
from sccr.schema.exchange.problem import NoTable
from sccr.schema.exchange.problem import RowProblem
from sccr.schema.exchange.problem import UnsupportedTable
from sccr.schema.exchange.reading import ReadRow
from sccr.schema.exchange.reading import ReadTable
from sccr.schema.exchange.reading import read_rows
from sccr.schema.exchange.reading import source_of
from sccr.schema.exchange.table import Table
from sccr.schema.problems import TOO_MANY
from sccr.schema.problems import shown
from sccr.schema.uncollected import uncollected

CSV: Final = "text/csv"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

_BY_SUFFIX: Final = {".csv": CSV, ".xlsx": XLSX}


@dataclass(frozen=True, slots=True)
class ImportResult:
    """What a file says.

    parts: those of the rows that are right, as a document of the format "catalogue/1" holds them, and lines: where
    each stands; problems: everything that is wrong, in the order of the file; rows: how many were read; catalogue: the
    parts, read, where nothing is wrong.
    A file with problems is not to be imported: a part, or a rating, may be missing from what it seems to say.
    """

    parts: tuple[dict[str, Any], ...]
    lines: tuple[int, ...]
    problems: tuple[RowProblem, ...]
    rows: int
    catalogue: Catalogue | None = None


def import_table(body: bytes, name: str) -> ImportResult:
    """Return the parts that a file holds, and every problem by line and column; nothing is changed anywhere.

    Parameters
    ----------
    body : bytes
        The file: CSV in UTF-8, or an XLSX workbook. What stands in its cells: columns.md.
    name : str
        The name of the file, or its media type.

    Raises
    ------
    UnsupportedTable
        Where the name is neither that of a CSV file nor that of an XLSX workbook.
    """
    with uncollected():
        try:
            table = read_table(body, name)
        except NoTable as error:
            return ImportResult((), (), (RowProblem(1, None, error.code, f"the file {error.detail}"),), 0)
        return _imported(read_rows(table, PART_COLUMNS))


def _imported(read: ReadTable) -> ImportResult:
    found = _catalogue(read)
    problems = [*read.problems, *(_part_problems(read, found) if isinstance(found, InvalidDocument) else ())]
    wrong = {problem.line for problem in problems}
    unread = min((problem.line for problem in problems if problem.code == TOO_MANY), default=inf)
    whole = [] if read.lacking else read.rows  # without a column that each part needs, no row is one
    right = [row for row in whole if row.line not in wrong and row.line < unread]
    return ImportResult(
        parts=tuple(row.document for row in right),
        lines=tuple(row.line for row in right),
        problems=tuple(_in_order(problems, read.headers)),
        rows=len(read.rows),
        catalogue=found if isinstance(found, Catalogue) and not problems else None,
    )


def read_table(body: bytes, name: str) -> Table:
    """Return the table of a file of that name or media type; raise NoTable or UnsupportedTable."""
    by_suffix = _BY_SUFFIX.get(PurePosixPath(name.lower()).suffix)
    media_type = by_suffix or name.partition(";")[0].strip().lower()
    if media_type == CSV:
        return read_csv(body)
    if media_type == XLSX:
        from sccr.schema.exchange.xlsx_table import read_xlsx  # only who reads workbooks needs openpyxl

        return read_xlsx(body)
    raise UnsupportedTable(f"{shown(name)} is neither a CSV file ({CSV}, .csv) nor an XLSX workbook ({XLSX}, .xlsx)")


def _catalogue(read: ReadTable) -> Catalogue | InvalidDocument:
    """Return the catalogue of the rows, or what it is refused for."""
    try:
        return Catalogue.from_document({"format": FORMAT, "parts": [row.document for row in read.rows]})
    except InvalidDocument as error:
        return error


def _part_problems(read: ReadTable, refused: InvalidDocument) -> Iterator[RowProblem]:
    """Yield what a catalogue of these rows is refused for."""
    lacking = {column.path for column in read.lacking}
    named = [(row.document.get("part"), row.line) for row in reversed(read.rows)]
    first = {part: line for part, line in named if isinstance(part, str)}
    for problem in refused.problems:
        _, _, number, *place = _tokens(problem.pointer)
        row = read.rows[int(number)]
        if problem.code == "required" and tuple(place) in lacking | row.unread:
            continue
        if problem.code == "duplicate-part":
            told = f"is the part of line {first[row.document['part']]} as well; keep one"
            yield RowProblem(row.line, source_of(row, place)[0], problem.code, told)
        else:
            yield _row_problem(row, place, problem)


def _row_problem(row: ReadRow, place: list[str], problem: Problem) -> RowProblem:
    column, within = source_of(row, place)
    return RowProblem(row.line, column, problem.code, f"{within}: {problem.detail}" if within else problem.detail)


def _tokens(pointer: str) -> list[str]:
    return [token.replace("~1", "/").replace("~0", "~") for token in pointer.split("/")]


def _in_order(problems: list[RowProblem], columns: list[str]) -> list[RowProblem]:
    """Return the problems by line, and on a line in the order of the columns."""
    order = {header: number for number, header in reversed(list(enumerate(columns)))}
    return sorted(problems, key=lambda each: (each.line, order.get(each.column or "", len(order))))
