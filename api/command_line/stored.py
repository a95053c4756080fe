"""What is stored of a panel, printed; its nameplate and its report, written."""

import sys
from collections.abc import Callable
from collections.abc import Mapping
from typing import TYPE_CHECKING
from typing import Any
from typing import Final

import click

from ..stored_ratings import rating_of
from .desk import as_json
from .desk import form_of
from .desk import write
from .rate import RATED
from .rate import WITHHELD
from .rate import print_ratings

if TYPE_CHECKING:
    from ..client import File

#: The forms of nameplates and reports, by the endings of files.
PLATES: Final = {"svg": "svg", "pdf": "pdf", "png": "png", "json": "json"}
REPORTS: Final = {"pdf": "pdf", "html": "html", "md": "markdown"}
_BINARY: Final = frozenset({"pdf", "png"})

_TO_FILE: Final = click.option("--output", "-o", default="-", show_default=True, help="A file; - is standard output.")

_OF_PLATE: Final = (
    _TO_FILE,
    click.option("--as", "form", type=click.Choice([*PLATES]), help="[default: as the file ends; else json]"),
    click.option("--size", metavar="WIDTHxHEIGHT", help="Of the plate [mm].  [default: 100x60]"),
    click.option("--code", type=click.Choice(["data_matrix", "qr", "none"]), help="[default: data_matrix]"),
    click.option("--dpi", type=click.IntRange(1), help="Dots an inch of a PNG.  [default: 300]"),
)
_OF_REPORT: Final = (
    _TO_FILE,
    click.option(
        "--as", "form", type=click.Choice([*REPORTS.values()]), help="[default: as the file ends; else markdown]"
    ),
    click.option("--paper", type=click.Choice(["a4", "letter"]), help="Paper of a PDF.  [default: a4]"),
    click.option("--symbols", type=click.Choice(["ansi", "iec"]), help="Symbols drawn.  [default: ansi]"),
)


def of_plate(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of a nameplate: `output`, `form`, `size`, `code`, `dpi`."""
    for option in reversed(_OF_PLATE):
        command = option(command)
    return command


def of_report(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of a report: `output`, `form`, `paper`, `symbols`."""
    for option in reversed(_OF_REPORT):
        command = option(command)
    return command


def write_plate(ask: Callable[[str], "File"], output: str, form: str | None) -> None:
    """Write a nameplate in the form that is stated, or that the file has by its name."""
    form = form_of(output, form, PLATES, "json")
    write(ask(form).content, output, binary=form in _BINARY)


def write_report(ask: Callable[[str], "File"], output: str, form: str | None) -> None:
    """Write a report in the form that is stated, or that the file has by its name."""
    form = form_of(output, form, REPORTS, "markdown")
    write(ask(form).content, output, binary=form in _BINARY)


def print_rating(result: Mapping[str, Any], form: str, *, derivation: bool = False) -> None:
    """Print a rating as it was given, as `sccr rate` prints one."""
    if form == "json":
        click.echo(as_json(result))
        return
    try:
        rating = rating_of(result)
    except (KeyError, TypeError) as error:
        raise click.ClickException(f"this rating is of another version ({error}): ask for --format json") from error
    print_ratings([("", rating)], form, several=False, derivation="full" if derivation else None, width=None)


def end_by(status: str) -> None:
    """End as `sccr rate` does: 0 rated, 3 withheld."""
    sys.exit(RATED if status == "rated" else WITHHELD)
