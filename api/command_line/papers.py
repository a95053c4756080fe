"""`sccr nameplate` and `sccr report`: a panel file in, a label or a report out."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from sccr import Catalogue
from sccr import InvalidDocument
from sccr import MalformedJson
from sccr import Rating
from sccr import rate
from sccr.schema.strict_json import decode

from .rate import BAD_INPUT
from .rate import WITHHELD
from .rate import complain
from .rate import read
from .rate import read_catalogue

_PANEL = click.argument("panel", type=click.Path(dir_okay=False, allow_dash=True))
_CATALOGUE = click.option(
    "--catalogue", "catalogue_file", type=click.Path(exists=True, dir_okay=False), help="A catalogue file (JSON)."
)


def rated(name: str, catalogue_file: str | None) -> tuple[Rating, dict[str, Any], Catalogue | None]:
    """Return the rating of a file with its document and catalogue; a file that is none ends the command."""
    catalogue = read_catalogue(catalogue_file)
    try:
        document = decode(read(name))
        return rate(document, catalogue), document, catalogue
    except (InvalidDocument, MalformedJson) as error:
        complain(name, error)
        sys.exit(BAD_INPUT)


def _write(output: str, made: str | bytes) -> None:
    if isinstance(made, str):
        made = made.encode()
    if output == "-":
        sys.stdout.buffer.write(made)
    else:
        Path(output).write_bytes(made)


def _form(output: str, forms: dict[str, Callable[[], str | bytes]]) -> Callable[[], str | bytes]:
    """Return what makes the form that the name of the output asks for."""
    ending = Path(output).suffix.lower()
    if ending not in forms:
        raise click.UsageError(f"{output}: end its name with {', '.join(forms)}")
    return forms[ending]


@click.command("nameplate")
@_PANEL
@click.option("--output", "-o", required=True, help="What to write: .svg, .pdf, .png or .json.")
@click.option("--size", default="100x60", show_default=True, help="Width x height of the plate [mm].")
@click.option("--dpi", default=300, show_default=True, help="Dots an inch of a PNG.")
@_CATALOGUE
def nameplate_command(panel: str, output: str, size: str, dpi: int, catalogue_file: str | None) -> None:
    """Make the nameplate of a panel. Refused, with the reason, for a withheld or inadequate one (exit status 3)."""
    from sccr.nameplate import NameplateError
    from sccr.nameplate import NameplateRefused
    from sccr.nameplate import nameplate
    from sccr.nameplate.as_pdf import render_pdf
    from sccr.nameplate.as_png import render_png
    from sccr.nameplate.as_svg import render_svg

    rating, document, catalogue = rated(panel, catalogue_file)
    try:
        plate, on = nameplate(rating, document, catalogue=catalogue), _size(size)
        forms: dict[str, Callable[[], str | bytes]] = {
            ".svg": lambda: render_svg(plate, on),
            ".pdf": lambda: render_pdf(plate, on),
            ".png": lambda: render_png(plate, on, dpi=dpi),
            ".json": lambda: json.dumps(plate.as_dict(), ensure_ascii=False, indent=2) + "\n",
        }
        _write(output, _form(output, forms)())
    except NameplateRefused as refused:
        click.echo(f"{panel}: {refused}", err=True)
        sys.exit(WITHHELD)
    except NameplateError as error:
        raise click.UsageError(str(error)) from error


def _size(text: str) -> Any:
    from sccr.nameplate import Size

    width, _, height = text.lower().replace("×", "x").partition("x")
    try:
        return Size(float(width), float(height))
    except ValueError as error:
        raise click.UsageError(f"--size {text}: write width x height in millimetres, such as 100x60") from error


@click.command("report")
@_PANEL
@click.option("--output", "-o", required=True, help="What to write: .pdf, .html, .md, .svg (the diagram) or .json.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of a PDF.")
@click.option("--symbols", type=click.Choice(["ansi", "iec"]), default="ansi", show_default=True, help="Symbols drawn.")
@_CATALOGUE
def report_command(panel: str, output: str, paper: str, symbols: str, catalogue_file: str | None) -> None:
    """Make the calculation report of a panel for the inspector's file."""
    from sccr.report.as_html import as_html
    from sccr.report.as_json import as_json
    from sccr.report.as_markdown import as_markdown
    from sccr.report.as_pdf import as_pdf
    from sccr.report.diagram.as_svg import as_svg
    from sccr.report.diagram.symbols import Symbols

    rating, document, _ = rated(panel, catalogue_file)
    drawn = Symbols(symbols)
    forms: dict[str, Callable[[], str | bytes]] = {
        ".pdf": lambda: as_pdf(rating, document, paper=paper, symbols=drawn),
        ".html": lambda: as_html(rating, document, symbols=drawn),
        ".md": lambda: as_markdown(rating),
        ".svg": lambda: as_svg(rating, document, symbols=drawn),
        ".json": lambda: as_json(rating, indent=2) + "\n",
    }
    _write(output, _form(output, forms)())
