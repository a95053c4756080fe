"""The ratings of a panel by several editions, side by side: for a terminal, and as Markdown."""

from collections.abc import Iterator
from collections.abc import Sequence
from typing import Final

from rich.console import Console
from rich.text import Text

from sccr.report.as_markdown import as_markdown as rating_as_markdown
from sccr.report.as_text import WIDTH
from sccr.report.as_text import as_text as rating_as_text
from sccr.report.cautions import cautions
from sccr.report.markdown import plain
from sccr.report.markdown import table as table_lines
from sccr.report.terminal import console as new_console
from sccr.report.terminal import printed
from sccr.report.terminal import section
from sccr.report.terminal import table as new_table
from sccr.report.words import title
from sccr.result import NONE
from sccr.side_by_side import EditionRatings
from sccr.side_by_side import EditionRow
from sccr.side_by_side import EditionValue
from sccr.side_by_side import SideBySide
from sccr.units import current_text

_COVERED: Final = {True: "covered", False: "NOT covered", None: "not known"}
_OF_PANEL: Final = ("edition", "status", "rating", "held by", "available")
_OF_REASONS: Final = ("component", "edition", "clause", "UL 508A")
_SAME: Final = "Each component is worth the same by all of them."


def as_text(several: EditionRatings, width: int = WIDTH, colour: bool = False, derivation: str = NONE) -> str:
    """Return the ratings as lines for a terminal of `width` columns; with a derivation, then each of them whole."""
    found, console = several.side_by_side(), new_console(width, colour)
    console.print(Text(title(several.ratings[0]), style="bold"))
    section(console, "By each edition")
    panel = new_table(*_OF_PANEL)
    for row in found.panel:
        style = "bold red" if row.rating is None or row.adequate is False else ""
        panel.add_row(*map(Text, _panel_cells(row)), style=style)
    console.print(panel)
    section(console, "Components that differ")
    _print_cells(console, ("component", "kind", *found.editions), list(_component_cells(found)))
    if found.why:
        section(console, "Why")
        _print_cells(console, _OF_REASONS, _reason_cells(found))
    if derivation == NONE:
        console.print()
        for caution in _cautions(several):
            console.print(Text(caution, style="dim"))
    whole = (rating_as_text(rating, width, colour, derivation) for rating in several.ratings)
    return printed(console) + ("" if derivation == NONE else "\n" + "\n".join(whole))


def _print_cells(console: Console, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    if not rows:
        console.print(Text(_SAME))
        return
    told = new_table(*columns)
    for cells in rows:
        told.add_row(*map(Text, cells))
    for column in told.columns:
        column.no_wrap = False  # a clause may be long
    console.print(told)


def as_markdown(several: EditionRatings, derivation: str = NONE) -> str:
    """Return the ratings as Markdown; with a derivation, then each of them whole."""
    if derivation == NONE:
        whole = "\n".join(("", "## Cautions", "", *(f"- {plain(caution)}" for caution in _cautions(several)), ""))
    else:
        whole = "\n" + "\n".join(rating_as_markdown(rating, derivation) for rating in several.ratings)
    return "\n".join(_lines(several)) + "\n" + whole


def _lines(several: EditionRatings) -> Iterator[str]:
    found = several.side_by_side()
    yield f"# {plain(title(several.ratings[0]))}"
    yield from table_lines("By each edition", _OF_PANEL, [_panel_cells(row) for row in found.panel])
    rows = list(_component_cells(found))
    if rows:
        yield from table_lines("Components that differ", ("component", "kind", *found.editions), rows)
    else:
        yield from ("", _SAME)
    yield from table_lines("Why", _OF_REASONS, _reason_cells(found))


def _cautions(several: EditionRatings) -> Iterator[str]:
    """Yield the cautions of every edition, each once."""
    yield from dict.fromkeys(caution for rating in several.ratings for caution in cautions(rating))


def _panel_cells(row: EditionRow) -> tuple[str, ...]:
    held = ", ".join(row.limited_by) or "; ".join(
        f"{error.component}: {error.message}" if error.component else error.message for error in row.errors
    )
    return row.edition, row.status, row.rating or "", held, _COVERED[row.adequate]


def _component_cells(found: SideBySide) -> Iterator[tuple[str, ...]]:
    for row in found.components:
        if row.differs:
            yield row.id, row.kind.replace("_", " "), *(_value(row.values[edition]) for edition in found.editions)


def _value(value: EditionValue) -> str:
    if value.current is not None:
        return f"{current_text(value.current)}, {value.basis}"
    return "not asked" if value.exempt else "none"


def _reason_cells(found: SideBySide) -> Sequence[tuple[str, ...]]:
    return [(each.component, each.edition, each.clause, each.difference) for each in found.why]
