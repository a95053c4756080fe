"""`sccr rate`: panel files in, ratings out."""

import sys
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from sccr import Catalogue
from sccr import EditionRatings
from sccr import InvalidDocument
from sccr import MalformedJson
from sccr import Rating
from sccr import load_panel
from sccr import rate_panel
from sccr import rate_panel_editions
from sccr.editions import editions as known_editions
from sccr.result import EXTENTS
from sccr.result import FULL
from sccr.result import NONE

from .workers import of_workers

RATED, BAD_INPUT, WITHHELD = 0, 2, 3
#: The rating of a file, or its ratings by several editions.
Rated = Rating | EditionRatings


def _editions(_: click.Context, option: click.Parameter, asked: tuple[str, ...]) -> tuple[str, ...]:
    """Return the editions that were named, each once and each one that there is."""
    for edition in asked:
        if edition not in known_editions():
            raise click.BadParameter(f"{edition!r} is not implemented; use one of: {', '.join(known_editions())}")
        if asked.count(edition) > 1:
            raise click.BadParameter(f"{edition!r} is named twice; name it once")
    return asked


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
@click.option(
    "--edition",
    "editions",
    multiple=True,
    callback=_editions,
    metavar="NAME",
    help='Rate by this edition, such as "IEC 61439-2:2020", whatever the document names; named several times, by '
    "each of them, side by side.",
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
    editions: tuple[str, ...],
    width: int | None,
    many: str | None,
    **of_many: Any,
) -> None:
    """Rate panel documents (JSON files; - reads standard input).

    Exit status: 0 every panel rated, 3 a rating withheld (by any of several editions), 2 bad input.
    """
    _require_one_way(panels, many, editions, of_many)
    catalogue = read_catalogue(catalogue_file)
    if many is not None:
        from .many import rate_lines

        output = rate_lines(many, catalogue, derivation or FULL, **of_many)
        sys.exit(BAD_INPUT if output.counts["refused"] else WITHHELD if output.counts["withheld"] else RATED)
    rated: list[tuple[str, Rated]] = []
    refused = 0
    for name in panels:
        try:
            rated.append((name, _rate(read(name), catalogue, editions)))
        except (InvalidDocument, MalformedJson) as error:
            refused += 1
            complain(name, error)
    print_ratings(rated, form, several=len(panels) > 1, derivation=derivation, width=width)
    if refused:
        sys.exit(BAD_INPUT)
    sys.exit(WITHHELD if any(rating.rating is None for _, each in rated for rating in _all_of(each)) else RATED)


def _rate(document: bytes, catalogue: Catalogue | None, editions: tuple[str, ...]) -> Rated:
    """Return the rating of a document by its edition, or by the one named; by several of either, those ratings."""
    panel = load_panel(document, catalogue)
    if len(editions) == 1:
        return rate_panel(replace(panel, edition=editions[0], editions=()))
    return rate_panel_editions(panel, editions) if editions or panel.editions else rate_panel(panel)


def _all_of(rated: Rated) -> tuple[Rating, ...]:
    return rated.ratings if isinstance(rated, EditionRatings) else (rated,)


def _require_one_way(
    panels: tuple[str, ...], many: str | None, editions: tuple[str, ...], of_many: Mapping[str, Any]
) -> None:
    """End the command where it is not clear what is to be rated, and how."""
    if many is not None and editions:
        raise click.UsageError(
            "--edition is of use with files of one panel each; with --many each document names its own"
        )
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
    rated: Sequence[tuple[str, Rated]], form: str, *, several: bool, derivation: str | None, width: int | None
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
        click.echo("\n".join(_markdown(rating, derivation or FULL) for _, rating in rated), nl=False)
    else:
        _print_text(rated, several, derivation or NONE, width)


def _markdown(rated: Rated, derivation: str) -> str:
    from sccr.report.as_markdown import as_markdown
    from sccr.report.side_by_side import as_markdown as side_by_side

    return side_by_side(rated, derivation) if isinstance(rated, EditionRatings) else as_markdown(rated, derivation)


def _print_text(rated: Sequence[tuple[str, Rated]], several: bool, derivation: str, width: int | None) -> None:
    from shutil import get_terminal_size

    from sccr.report.as_text import WIDTH
    from sccr.report.as_text import as_text
    from sccr.report.as_text import table_of
    from sccr.report.side_by_side import as_text as side_by_side

    colour = sys.stdout.isatty()
    columns = width or max(60, get_terminal_size((WIDTH, 24)).columns)
    first = rated[0][1]
    if several:
        click.echo(table_of(list(_each(rated)), columns, colour), nl=False)
    elif isinstance(first, EditionRatings):
        click.echo(side_by_side(first, columns, colour, derivation), nl=False)
    else:
        click.echo(as_text(first, columns, colour, derivation), nl=False)


def _each(rated: Sequence[tuple[str, Rated]]) -> Iterator[tuple[str, Rating]]:
    """Yield each rating with the name of its file, and of its edition where there are several."""
    for name, each in rated:
        for rating in _all_of(each):
            yield f"{name}, {rating.method.edition}" if isinstance(each, EditionRatings) else name, rating
