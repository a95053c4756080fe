"""What every report in Markdown is written with (CommonMark with tables)."""

from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Sequence


def table(heading: str, columns: tuple[str, ...], of: Sequence[tuple[str, ...]]) -> Iterator[str]:
    """Yield a table below its heading; nothing where it has no rows."""
    if of:
        yield from ("", f"## {heading}", "")
        yield from rows(columns, of)


def rows(columns: tuple[str, ...], of: Sequence[tuple[str, ...]], strong: Collection[int] = ()) -> Iterator[str]:
    """Yield a table, the rows of the numbers in `strong` in bold."""
    yield "| " + " | ".join(columns) + " |"
    yield "|" + " --- |" * len(columns)
    for number, row in enumerate(of):
        mark = "**" if number in strong else ""
        yield "| " + " | ".join(f"{mark}{plain(cell)}{mark}" for cell in row) + " |"


def plain(text: str) -> str:
    """Return text that Markdown shows as it is: an id may hold any printable character."""
    return "".join(f"\\{c}" if c in "\\`*_[]<>|#" else c for c in text)
