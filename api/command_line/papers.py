"""`sccr nameplate` and `sccr report`: a panel file in, a label or a report out."""

import sys
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Mapping
from typing import Any

import click

from sccr import Catalogue
from sccr import InvalidDocument
from sccr import MalformedJson
from sccr import Rating
from sccr import rate
from sccr.schema.strict_json import decode

from .desk import as_json
from .desk import form_of
from .desk import write
from .extras import not_installed
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


def _as(forms: Iterable[str]) -> Callable[..., Any]:
    return click.option("--as", "form", type=click.Choice([*forms]), help="[default: as the output ends]")


def _write(output: str, form: str | None, forms: Mapping[str, Callable[[], str | bytes]]) -> None:
    """Make the form that is stated, or that the name of the output asks for, and write it."""
    form = form_of(output, form, {each: each for each in forms}, "json")
    try:
        made = forms[form]()
    except ModuleNotFoundError as missing:
        raise not_installed(f"what makes .{form}", missing) from missing
    write(made if isinstance(made, bytes) else made.encode(), output, binary=isinstance(made, bytes))


@click.command("nameplate")
@_PANEL
@click.option("--output", "-o", required=True, help="What to write: .svg, .pdf, .png or .json; - is standard output.")
@_as(["svg", "pdf", "png", "json"])
@click.option("--size", default="100x60", show_default=True, help="Width x height of the plate [mm].")
@click.option("--dpi", default=300, show_default=True, help="Dots an inch of a PNG.")
@_CATALOGUE
def nameplate_command(
    panel: str, output: str, form: str | None, size: str, dpi: int, catalogue_file: str | None
) -> None:
    """Make the nameplate of a panel. Refused, with the reason, for a withheld or inadequate one (exit status 3)."""
    from sccr.nameplate import NameplateError
    from sccr.nameplate import NameplateRefused
    from sccr.nameplate import nameplate

    rating, document, catalogue = rated(panel, catalogue_file)
    try:
        plate = nameplate(rating, document, catalogue=catalogue)
        _write(output, form, _plate_forms(plate, _size(size), dpi))
    except NameplateRefused as refused:
        click.echo(f"{panel}: {refused}", err=True)
        sys.exit(WITHHELD)
    except NameplateError as error:
        raise click.UsageError(str(error)) from error


def _plate_forms(plate: Any, size: Any, dpi: int) -> dict[str, Callable[[], str | bytes]]:
    """Return what makes each form of a nameplate; what it is made with is imported when it is."""

    def svg() -> str:
        from sccr.nameplate.as_svg import render_svg

        return render_svg(plate, size)

    def pdf() -> bytes:
        from sccr.nameplate.as_pdf import render_pdf

        return render_pdf(plate, size)

    def png() -> bytes:
        from sccr.nameplate.as_png import render_png

        return render_png(plate, size, dpi=dpi)

    return {"svg": svg, "pdf": pdf, "png": png, "json": lambda: as_json(plate.as_dict()) + "\n"}


def _size(text: str) -> Any:
    from sccr.nameplate import Size

    width, _, height = text.lower().replace("×", "x").partition("x")
    try:
        return Size(float(width), float(height))
    except ValueError as error:
        raise click.UsageError(f"--size {text}: write width x height in millimetres, such as 100x60") from error


@click.command("report")
@_PANEL
@click.option(
    "--output",
    "-o",
    required=True,
    help="What to write: .pdf, .html, .md, .svg (the diagram) or .json; - is standard output.",
)
@_as(["pdf", "html", "md", "svg", "json"])
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of a PDF.")
@click.option("--symbols", type=click.Choice(["ansi", "iec"]), default="ansi", show_default=True, help="Symbols drawn.")
@_CATALOGUE
def report_command(
    panel: str, output: str, form: str | None, paper: str, symbols: str, catalogue_file: str | None
) -> None:
    """Make the calculation report of a panel for the inspector's file."""
    rating, document, _ = rated(panel, catalogue_file)
    _write(output, form, _report_forms(rating, document, paper, symbols))


def _report_forms(
    rating: Rating, document: dict[str, Any], paper: str, symbols: str
) -> dict[str, Callable[[], str | bytes]]:
    """Return what makes each form of a report; what it is made with is imported when it is."""
    from sccr.report.as_json import as_json as rating_as_json
    from sccr.report.as_markdown import as_markdown
    from sccr.report.diagram.symbols import Symbols

    drawn = Symbols(symbols)

    def pdf() -> bytes:
        from sccr.report.as_pdf import as_pdf

        return as_pdf(rating, document, paper=paper, symbols=drawn)

    def html() -> str:
        from sccr.report.as_html import as_html

        return as_html(rating, document, symbols=drawn)

    def svg() -> str:
        from sccr.report.diagram.as_svg import as_svg

        return as_svg(rating, document, symbols=drawn)

    return {
        "pdf": pdf,
        "html": html,
        "md": lambda: as_markdown(rating),
        "svg": svg,
        "json": lambda: rating_as_json(rating, indent=2) + "\n",
    }
