"""A list of components as a table, such as a parts list: what its columns are taken for, and the components in it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace
from typing import Any
from typing import Final

from sccr.panel.kinds import kinds
from sccr.schema.exchange.columns import MARKING_COLUMNS
from sccr.schema.exchange.columns import Column
from sccr.schema.exchange.forms import Words
from sccr.schema.exchange.importing import read_table
from sccr.schema.exchange.problem import NoTable
from sccr.schema.exchange.problem import RowProblem
from sccr.schema.exchange.reading import read_rows
from sccr.schema.exchange.table import Row
from sccr.schema.exchange.table import Table

_SAMPLE: Final = 5
_JOINTS: Final = re.compile(r"[^a-z0-9]+")


class _Kind(Words):
    """A kind of component, in the words of a parts list or of a document: `Circuit Breaker`, `circuit_breaker`."""

    def read(self, text: str) -> str:
        """Return the name of the kind; what is none stays as it is, to be told by whoever reads the document."""
        return _KINDS.get(_plain(text), text)


def _plain(text: str) -> str:
    return _JOINTS.sub(" ", text.casefold()).strip()


_KINDS: Final = {_plain(word): kind.name for kind in kinds().values() for word in (kind.name, kind.label)}

COMPONENT_COLUMNS: Final = (
    Column("id", Words(), required=True),
    Column("kind", _Kind()),
    Column("fed_from", Words(), many=True, single=True),
    Column("part", Words()),
    Column("circuit", Words()),
    Column("position", Words()),
    Column("location", Words()),
    Column("exempt.reason", Words()),
    Column("exempt.reference", Words()),
    *(column for column in MARKING_COLUMNS if column.name != "accessory_limit"),
)

#: What parts lists call the columns: common practice, no source.
_CALLED: Final = {
    "id": "designation|reference|reference designation|ref|ref des|refdes|tag|device|device tag|item|component",
    "kind": "type|component type|device type|function|category",
    "fed_from": "fed by|feeds from|source|upstream|parent|supplied from|supply|line side",
    "part": "part number|part no|catalog number|catalogue number|cat no|order number|article|article number|p n",
    "poles": "no of poles|number of poles",
    "ampere_rating": "amps|amperes|rated current|current rating|ampere rating a|rating",
    "voltage_rating": "voltage|rated voltage|volts",
    "horsepower": "hp|motor hp|power",
    "full_load_current": "fla|flc|full load amps|full load amperes",
    "fuse_class": "class",
    "interrupting_ratings": "interrupting rating|ir|aic|interrupting capacity",
    "short_circuit_ratings": "sccr|short circuit rating|short circuit current rating",
    "utilization_category": "utilisation category",
    "breaking_capacities": "breaking capacity|short circuit breaking capacity",
    "conditional_ratings": "conditional short circuit current|rated conditional short circuit current",
    "short_time_ratings": "short time withstand current|rated short time withstand current|icw",
    "location": "place|mounted",
}
_BY_NAME: Final = {column.name: column for column in COMPONENT_COLUMNS}
_MEANT: Final = {_plain(name): name for name in _BY_NAME} | {
    word: name for name, words in _CALLED.items() for word in words.split("|")
}


@dataclass(frozen=True, slots=True)
class ComponentTable:
    """A table of components.

    headers: the first row; columns: what each is taken for, None for what is left out; sample: the first rows as they
    stand; rows: how many there are; components: as a panel document holds them; lines: where each stands.
    """

    headers: tuple[str, ...]
    columns: tuple[str | None, ...]
    sample: tuple[tuple[str, ...], ...]
    rows: int
    components: tuple[dict[str, Any], ...]
    lines: tuple[int, ...]
    problems: tuple[RowProblem, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return the table for an answer in JSON."""
        return {
            "headers": list(self.headers),
            "columns": list(self.columns),
            "known_columns": list(_BY_NAME),
            "sample": [list(row) for row in self.sample],
            "rows": self.rows,
            "components": [dict(component) for component in self.components],
            "lines": list(self.lines),
            "problems": [problem.as_dict() for problem in self.problems],
        }


def read_component_table(body: bytes, name: str, columns: Sequence[str | None] | None = None) -> ComponentTable:
    """Return the components that a file holds, and every problem by line and column.

    Parameters
    ----------
    body : bytes
        The file: CSV in UTF-8, or an XLSX workbook. What stands in its cells: columns.md.
    name : str
        The name of the file, or its media type.
    columns : sequence, optional
        What each column of the file is: a name out of COMPONENT_COLUMNS, or None for one that is left out; without it,
        that is found from the first row.

    Raises
    ------
    UnsupportedTable
        Where the name is neither that of a CSV file nor that of an XLSX workbook.
    """
    try:
        table = read_table(body, name)
    except NoTable as error:
        told = RowProblem(1, None, error.code, f"the file {error.detail}")
        return ComponentTable((), (), (), 0, (), (), (told,))
    headers = tuple(map(_text, table.rows[0].cells)) if table.rows else ()
    matched = _matched(headers) if columns is None else [*columns, *([None] * len(headers))][: len(headers)]
    read = read_rows(_chosen(table, matched), COMPONENT_COLUMNS)
    return ComponentTable(
        headers=headers,
        columns=tuple(matched),
        sample=tuple(tuple(map(_text, row.cells)) for row in table.rows[1 : 1 + _SAMPLE]),
        rows=max(0, len(table.rows) - 1),
        components=tuple(row.document for row in read.rows),
        lines=tuple(row.line for row in read.rows),
        problems=tuple(sorted(read.problems, key=lambda problem: problem.line)),
    )


def is_column(name: str) -> bool:
    """Return whether a column of a table of components is called so."""
    return name in _BY_NAME


def _matched(headers: Sequence[str]) -> list[str | None]:
    """Return what each header is taken for; of two that say the same, the first."""
    found: list[str | None] = []
    for header in headers:
        meant = _MEANT.get(_plain(header))
        found.append(None if meant in found else meant)
    return found


def _chosen(table: Table, matched: Sequence[str | None]) -> Table:
    """Return a table of the columns that are wanted, under their own names."""
    wanted = [place for place, name in enumerate(matched) if name is not None]
    rows = [
        replace(row, cells=tuple(row.cells[place] for place in wanted if place < len(row.cells))) for row in table.rows
    ]
    if rows:
        rows[0] = Row(rows[0].line, tuple(matched[place] or "" for place in wanted))
    return Table(rows, table.problems)


def _text(cell: object) -> str:
    return cell.strip() if isinstance(cell, str) else ""
