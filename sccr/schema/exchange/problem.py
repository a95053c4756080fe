"""What is wrong with a table, and where: the line and column that its writer sees."""

from dataclasses import dataclass

from sccr.errors import SccrError
from sccr.schema.problems import MOST_PROBLEMS
from sccr.schema.problems import TOO_MANY


@dataclass(frozen=True, slots=True)
class RowProblem:
    """One thing wrong with a table.

    line: of the text file, or the row of the sheet, counted from 1; column: its header, or nothing where the whole row
    or file is meant; code: stable; detail: what is wrong and what to write.
    """

    line: int
    column: str | None
    code: str
    detail: str

    def as_dict(self) -> dict[str, str | int | None]:
        """Return the problem as a mapping for an answer in JSON."""
        return {"line": self.line, "column": self.column, "code": self.code, "detail": self.detail}


def too_many_problems(line: int) -> RowProblem:
    """Return what is told of the line at which so much is wrong with a table that the rest is not read."""
    told = f"comes after {MOST_PROBLEMS} problems, which are told at once; nothing from here on was read"
    return RowProblem(line, None, TOO_MANY, told)


class CellError(ValueError):
    """A cell cannot be read. `code` is stable; `detail` says why and what to write."""

    def __init__(self, code: str, detail: str) -> None:
        self.code = code
        self.detail = detail
        super().__init__(detail)


class NoTable(SccrError):
    """The file is no table at all, or one that is refused unread; `code` and `detail` as of a problem."""

    def __init__(self, code: str, detail: str) -> None:
        self.code = code
        self.detail = detail
        super().__init__(detail)


class UnsupportedTable(SccrError):
    """The name or media type is neither that of a CSV file nor that of an XLSX workbook."""
