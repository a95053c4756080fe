"""`sccr rate`: panel files in, ratings out."""

import sys
from collections.abc import Mapping
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from sccr import Catalogue
from sccr import InvalidDocument
from sccr import MalformedJson
from sccr import Rating
from sccr import rate
from sccr.result import EXTENTS
from sccr.result import FULL
from sccr.result import NONE

from .workers import of_workers

RATED, BAD_INPUT, WITHHELD = 0, 2, 3


@click.command("rate")
@click.argument("panels", nargs=-1, type=click.Path(dir_okay=False, allow_dash=True))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "markdown"]),
    default="text",
    show_default=True,
    help="What to print. With several files: text is a table, json a line a panel.",
)
@click.option(
    "--catalogue",
    "catalogue_file",
    type=click.Path(exists=True, dir_okay=False),
    help="A catalogue file (JSON) where the parts that components name are looked up.",
)
@click.option(
    "--derivation",
    type=click.Choice(EXTENTS),
    is_flag=False,
    flag_value=FULL,
    help="How much of the derivation: every step, those that the marking rests on, or none; "
    "without it text has none, json and markdown are full.",
)
@click.option("--width", type=click.IntRange(60, 400), help="Columns of the text; default: the terminal's.")
@click.option(
    "--many",
    metavar="FILE",
    type=click.Path(dir_okay=False, allow_dash=True),
    help="A file with a panel document on each line (NDJSON; - reads standard input), however many there are: for each "
    "a line of JSON is printed, its rating or what is wrong with it, in the same order.",
)
@click.option("--out", metavar="FILE", type=click.Path(dir_okay=False), help="Where the lines of --many go.")
@click.option(
    "--resume", is_flag=True, help="Go on with --out where it was broken off; refused if anything is not as it was."
)
@of_workers
def rate_command(
    panels: tuple[str, ...],
    form: str,
    catalogue_file: str | None,
    derivation: str | None,
    width: int | None,
    many: str | None,
    **of_many: Any,
) -> None:
    """Rate panel documents (JSON files; - reads standard input).

    Exit status: 0 every panel rated, 3 a rating withheld, 2 bad input.
    """
    _require_one_way(panels, many, of_many)
    catalogue = read_catalogue(catalogue_file)
    if many is not None:
        from .many import rate_lines

        output = rate_lines(many, catalogue, derivation or FULL, **of_many)
        sys.exit(BAD_INPUT if output.counts["refused"] else WITHHELD if output.counts["withheld"] else RATED)
    rated: list[tuple[str, Rating]] = []
    refused = 0
    for name in panels:
        try:
            rated.append((name, rate(read(name), catalogue)))
        except (InvalidDocument, MalformedJson) as error:
            refused += 1
            complain(name, error)
    print_ratings(rated, form, several=len(panels) > 1, derivation=derivation, width=width)
    if refused:
        sys.exit(BAD_INPUT)
    sys.exit(WITHHELD if any(rating.rating is None for _, rating in rated) else RATED)


def _require_one_way(panels: tuple[str, ...], many: str | None, of_many: Mapping[str, Any]) -> None:
    """End the command where it is not clear what is to be rated, and how."""
    if many is None and not panels:
        raise click.UsageError("name the files of panels, or a file of many with --many")
    if many is not None and panels:
        raise click.UsageError("name files of one panel each, or --many for a file of many; not both")
    said = [name for name, value in of_many.items() if value]
    if many is None and said:
        raise click.UsageError(f"--{said[0]} is of use with --many only")


def read(name: str) -> bytes:
    """Return the bytes of a file, or of standard input for `-`."""
    if name == "-":
        return sys.stdin.buffer.read()
    try:
        return Path(name).read_bytes()
    except OSError as error:
        raise click.UsageError(f"{name}: {error.strerror}") from error


def read_catalogue(name: str | None) -> Catalogue | None:
    """Return the catalogue of a file; one that is none ends the command as bad input."""
    if name is None:
        return None
    try:
        return Catalogue.from_document(read(name))
    except (InvalidDocument, MalformedJson) as error:
        complain(name, error)
        sys.exit(BAD_INPUT)


def complain(name: str, error: InvalidDocument | MalformedJson) -> None:
    """Print every problem of a file, each with the place and the remedy."""
    if isinstance(error, MalformedJson):
        click.echo(f"{name}: {error}", err=True)
        return
    count = len(error.problems)
    click.echo(f"{name}: {count} problem{'s' if count != 1 else ''}", err=True)
    for problem in error.problems:
        click.echo(f"  {problem.pointer or '(document)'}: {problem.detail} [{problem.code}]", err=True)


def print_ratings(
    rated: Sequence[tuple[str, Rating]], form: str, *, several: bool, derivation: str | None, width: int | None
) -> None:
    """Print ratings with the names of their files, in a form that `sccr rate` knows.

    derivation: full, short or none; None is what the form is used for: text has none, the others are full.
    """
    if not rated:
        return
    if form == "json":
        from sccr.report.as_json import as_json

        for _, rating in rated:
            click.echo(as_json(rating, None if several else 2, derivation or FULL))
    elif form == "markdown":
        from sccr.report.as_markdown import as_markdown

        click.echo("\n".join(as_markdown(rating, derivation or FULL) for _, rating in rated), nl=False)
    else:
        _print_text(rated, several, derivation or NONE, width)


def _print_text(rated: Sequence[tuple[str, Rating]], several: bool, derivation: str, width: int | None) -> None:
    from shutil import get_terminal_size

    from sccr.report.as_text import WIDTH
    from sccr.report.as_text import as_text
    from sccr.report.as_text import table_of

    colour = sys.stdout.isatty()
    columns = width or max(60, get_terminal_size((WIDTH, 24)).columns)
    if several:
        click.echo(table_of(rated, columns, colour), nl=False)
    else:
        click.echo(as_text(rated[0][1], columns, colour, derivation), nl=False)
