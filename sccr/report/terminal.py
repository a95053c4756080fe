"""What every report for a terminal is printed with."""

from io import StringIO

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text


def console(width: int, colour: bool) -> Console:
    """Return a console that keeps what is printed on it, as lines of `width` columns."""
    return Console(
        file=StringIO(),
        width=width,
        force_terminal=colour,
        no_color=not colour,
        highlight=False,
        emoji=False,
        markup=False,
    )


def printed(console: Console) -> str:
    """Return what was printed on a console of these."""
    assert isinstance(console.file, StringIO)
    return "\n".join(line.rstrip() for line in console.file.getvalue().splitlines()) + "\n"


def section(console: Console, heading: str) -> None:
    """Print the heading of a section."""
    console.print()
    console.print(Text(heading, style="bold underline"))


def table(*columns: str) -> Table:
    """Return a table of these columns, without rows."""
    made = Table(box=SIMPLE_HEAD, pad_edge=True, show_edge=False)
    for column in columns:
        made.add_column(column, overflow="fold", no_wrap=column in ("no.", "clause", "step"))
    return made
