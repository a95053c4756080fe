"""The rating for a terminal."""

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from sccr.report.cautions import cautions
from sccr.report.terminal import console as _console
from sccr.report.terminal import printed as _printed
from sccr.report.terminal import section as _section
from sccr.report.terminal import table as _table
from sccr.report.words import adequacy_lines
from sccr.report.words import derivation_heading
from sccr.report.words import headline
from sccr.report.words import method_line
from sccr.report.words import title
from sccr.result import NONE
from sccr.result import LimitedBy
from sccr.result import Rating
from sccr.result import Step
from sccr.units import MilliAmperes
from sccr.units import current_text

WIDTH = 100
#: A clause that is longer is written on several lines.
_LONG = 24
STYLES = {"error": "bold red", "warning": "yellow", "note": "dim"}
MARKS = {True: ("ok", "green"), False: ("!!", "bold red"), None: ("--", "dim")}


def as_text(rating: Rating, width: int = WIDTH, colour: bool = False, derivation: str = NONE) -> str:
    """Return the rating as lines for a terminal of `width` columns; derivation: full, short or none."""
    steps = rating.steps(derivation)
    console = _console(width, colour)
    _heading(console, rating)
    _limits(console, rating)
    _circuits(console, rating)
    _findings(console, rating)
    if steps:
        _derivation(console, steps, derivation_heading(derivation))
    _foot(console, rating)
    return _printed(console)


def table_of(ratings: Sequence[tuple[str, Rating]], width: int = WIDTH, colour: bool = False) -> str:
    """Return several ratings as a table, a line each: file, panel, rating, what holds it, whether it is adequate."""
    console = _console(width, colour)
    table = _table("file", "panel", "status", "rating", "limited by", "available")
    for name, rating in ratings:
        adequate = rating.adequacy.as_dict()["adequate"]
        covered = {True: "covered", False: "NOT covered", None: "not known"}[adequate]
        style = "bold red" if rating.rating is None or adequate is False else ""
        held = ", ".join(limit.component for limit in rating.limited_by) or _first_error(rating)
        current = "" if rating.rating is None else f"{current_text(rating.rating.current)}, {rating.rating.voltage}"
        cells = (name, rating.panel.get("designation", ""), rating.status, current, held, covered)
        table.add_row(*(Text(cell) for cell in cells), style=style)
    console.print(table)
    return _printed(console)


def _first_error(rating: Rating) -> str:
    return next((finding.message for finding in rating.findings), "")


def _heading(console: Console, rating: Rating) -> None:
    console.print(Text(title(rating), style="bold"))
    style = "bold green" if rating.rating is not None else "bold red"
    console.print(Text(f"{rating.status.upper()}  {headline(rating)}", style=style))
    for covered, sentence in adequacy_lines(rating.adequacy):
        mark, mark_style = MARKS[covered]
        console.print(Text.assemble((f"  {mark}  ", mark_style), sentence))
    if len(rating.supplies) > 1:
        for supply in rating.supplies:
            if supply.rating is not None:
                console.print(Text(f"      supply {supply.id}: {supply.rating.text}"))


def _limits(console: Console, rating: Rating) -> None:
    if not rating.limited_by:
        return
    _section(console, "What holds it down")
    for limit in rating.limited_by:
        _item(console, Text.assemble((limit.component, "bold"), (f"  {limit.clause}  ", "dim"), limit.reason))
    if rating.next_limits:
        _section(console, "What the rating becomes as each limit is lifted")
        table = _table("step", "rating", "then held by", "because")
        for number, step in enumerate(rating.next_limits, start=1):
            table.add_row(str(number), current_text(step.rating.current), *_held(step.limited_by))
        console.print(table)


def _held(limits: Sequence[LimitedBy]) -> tuple[Text, Text]:
    names = Text(", ".join(limit.component for limit in limits))
    return names, Text(limits[0].reason + (" …" if len(limits) > 1 else ""))


def _circuits(console: Console, rating: Rating) -> None:
    _section(console, "Circuits")
    table = _table("circuit", "type", "voltage", "rating", "components")
    for circuit in rating.circuits:
        parts = Text(", ".join(circuit.components))
        table.add_row(Text(circuit.id), circuit.type, Text(circuit.voltage), _current(circuit.rating), parts)
    console.print(table)


def _findings(console: Console, rating: Rating) -> None:
    if rating.findings:
        _section(console, "Findings")
    for finding in rating.findings:
        where = f"{finding.component}: " if finding.component else ""
        words = Text.assemble((finding.severity, STYLES[finding.severity]), f"  {where}{finding.message}")
        _item(console, words)
    if rating.conditions:
        _section(console, "Conditions of the rating")
    for condition in rating.conditions:
        _item(console, Text(condition.text))


def _derivation(console: Console, steps: Sequence[Step], heading: str) -> None:
    _section(console, heading)
    table = _table("no.", "clause", "component", "statement", "before", "after")
    if any(len(step.clause) > _LONG for step in steps):
        table.columns[1].no_wrap, table.columns[1].max_width = False, _LONG
    for step in steps:
        cells = (Text(step.component or ""), Text(step.statement), _current(step.before), _current(step.after))
        table.add_row(str(step.number), step.clause, *cells)
    console.print(table)


def _foot(console: Console, rating: Rating) -> None:
    console.print()
    console.print(Text(method_line(rating), style="dim"))
    for caution in cautions(rating):
        console.print(Text(caution, style="dim"))


def _item(console: Console, words: Text) -> None:
    console.print(Padding(words, (0, 0, 0, 2)))


def _current(current: MilliAmperes | None) -> str:
    return "" if current is None else current_text(current)
