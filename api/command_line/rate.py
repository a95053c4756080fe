"""`sccr rate`: panel files in, ratings out."""

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from sccr import Catalogue
from sccr import InvalidDocument
from sccr import MalformedJson
from sccr import Rating
from sccr import rate

RATED, BAD_INPUT, WITHHELD = 0, 2, 3


@click.command("rate")
@click.argument("panels", nargs=-1, required=True, type=click.Path(dir_okay=False, allow_dash=True))
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
@click.option("--derivation", is_flag=True, help="Print every step of the derivation (text).")
@click.option("--width", type=click.IntRange(60, 400), help="Columns of the text; default: the terminal's.")
def rate_command(
    panels: tuple[str, ...], form: str, catalogue_file: str | None, derivation: bool, width: int | None
) -> None:
    """Rate panel documents (JSON files; - reads standard input).

    Exit status: 0 every panel rated, 3 a rating withheld, 2 bad input.
    """
    catalogue = read_catalogue(catalogue_file)
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
    rated: Sequence[tuple[str, Rating]], form: str, *, several: bool, derivation: bool, width: int | None
) -> None:
    """Print ratings with the names of their files, in a form that `sccr rate` knows."""
    if not rated:
        return
    if form == "json":
        from sccr.report.as_json import as_json

        for _, rating in rated:
            click.echo(as_json(rating, indent=None if several else 2))
    elif form == "markdown":
        from sccr.report.as_markdown import as_markdown

        click.echo("\n".join(as_markdown(rating) for _, rating in rated), nl=False)
    else:
        _print_text(rated, several, derivation, width)


def _print_text(rated: Sequence[tuple[str, Rating]], several: bool, derivation: bool, width: int | None) -> None:
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
