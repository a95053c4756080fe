"""What the texts for a terminal are made of."""

from collections.abc import Iterable
from collections.abc import Mapping
from collections.abc import Sequence
from io import StringIO
from typing import Any
from typing import Final

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

_STYLES: Final = {"error": "bold red", "warning": "yellow", "note": "dim"}
_INDENT: Final = (0, 0, 0, 2)


class Page:
    """Lines for a terminal of `width` columns, with or without colour."""

    def __init__(self, width: int, colour: bool) -> None:
        self._file = StringIO()
        self._console = Console(
            file=self._file,
            width=width,
            force_terminal=colour,
            no_color=not colour,
            highlight=False,
            emoji=False,
            markup=False,
        )

    @property
    def text(self) -> str:
        """Return everything that was printed."""
        return "\n".join(line.rstrip() for line in self._file.getvalue().splitlines()) + "\n"

    def line(self, words: str = "", style: str = "") -> None:
        """Print a line."""
        self._console.print(Text(words, style=style))

    def section(self, heading: str) -> None:
        """Print a heading with a free line before it."""
        self.line()
        self.line(heading, "bold underline")

    def items(self, lines: Iterable[str], style: str = "") -> None:
        """Print lines, each indented."""
        for each in lines:
            self._console.print(Padding(Text(each, style=style), _INDENT))

    def pairs(self, rows: Iterable[Sequence[str]]) -> None:
        """Print rows without lines between, the last column taking what there is of width."""
        self._grid([Text(cell) for cell in row] for row in rows)

    def findings(self, findings: Iterable[Mapping[str, Any]], words: Iterable[str]) -> None:
        """Print findings with their severity, each in its own words."""
        told = zip(findings, words, strict=True)
        self._grid([Text(f["severity"], style=_STYLES[f["severity"]]), Text(each)] for f, each in told)

    def _grid(self, rows: Iterable[Sequence[Text]]) -> None:
        grid = Table.grid(padding=(0, 2))
        for row in rows:
            grid.add_row(*row)
        self._console.print(Padding(grid, _INDENT))

    def table(
        self,
        columns: Sequence[str],
        rows: Iterable[Sequence[str]],
        *,
        numbers: Sequence[str] = (),
        whole: Sequence[str] = (),
    ) -> None:
        """Print a table; `numbers` are set to the right and, as the columns that are `whole`, never broken."""
        table = Table(box=SIMPLE_HEAD, pad_edge=True, show_edge=False, collapse_padding=True)
        for column in columns:
            right = column in numbers
            table.add_column(
                column, justify="right" if right else "left", overflow="fold", no_wrap=right or column in whole
            )
        for row in rows:
            table.add_row(*map(Text, row))
        self._console.print(table)
