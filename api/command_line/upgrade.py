"""`sccr upgrade`: the cheapest way up."""

import json
import sys
from collections.abc import Sequence
from typing import Any

import click

from sccr import Catalogue
from sccr import InvalidDocument
from sccr import MalformedJson
from sccr.schema.misread import QuantityError
from sccr.schema.quantity import current
from sccr.schema.strict_json import decode

from .desk import as_json
from .desk import write
from .extras import not_installed
from .rate import BAD_INPUT
from .rate import complain
from .rate import read
from .rate import read_catalogue

BLOCKED = 1


@click.command("upgrade")
@click.argument("panel", type=click.Path(dir_okay=False, allow_dash=True))
@click.option("--catalogue", "catalogue_file", required=True, type=click.Path(exists=True, dir_okay=False))
@click.option(
    "--target", "targets", multiple=True, help='The rating wanted, such as "65 kA"; several give a staircase.'
)
@click.option("--edition", help="Plan by this edition, whatever the panel asks for, such as 'IEC 61439-2:2020'.")
@click.option("--objective", type=click.Choice(["price", "changes", "labour"]), default="price", show_default=True)
@click.option("--seconds", default=10.0, show_default=True, type=click.FloatRange(0.1), help="Most time for a plan.")
@click.option("--alternatives", default=2, show_default=True, type=click.IntRange(0, 20), help="Next best plans.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--width", type=click.IntRange(60, 400), help="Columns of the text; default: the terminal's.")
@click.option(
    "--output",
    "-o",
    type=click.Path(dir_okay=False),
    help="Where to write the panel with the best plan's changes (JSON).",
)
def upgrade_command(
    panel: str,
    catalogue_file: str,
    targets: tuple[str, ...],
    edition: str | None,
    objective: str,
    seconds: float,
    alternatives: int,
    form: str,
    width: int | None,
    output: str | None,
) -> None:
    """Find the least change of parts that lifts a panel to a target, proved by re-rating the changed panel.

    Without a target: the document's own, else its highest available fault current. Exit status: 0 reached,
    1 out of reach with the parts of the catalogue, 2 bad input.
    """
    from sccr.upgrade import by_edition
    from sccr.upgrade import plan

    if output is not None and len(targets) > 1:
        raise click.UsageError("--output is the panel of one plan: name one target")
    document, catalogue = _read(panel, catalogue_file)
    document = document if edition is None else by_edition(document, edition)
    options: dict[str, Any] = {"objective": objective, "time_limit": seconds, "alternatives": alternatives}
    try:
        found = [plan(document, catalogue, target, **options) for target in _targets(targets)]
    except ModuleNotFoundError as missing:
        raise not_installed("the solver of plans", missing) from missing
    except InvalidDocument as error:
        complain(panel, error)
        sys.exit(BAD_INPUT)
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    if output is not None and found[0].best is not None:
        write(as_json(dict(found[0].best.document)).encode(), output, binary=False)
    _print([answer.as_dict() for answer in found], form, width)
    sys.exit(0 if all(answer.best is not None for answer in found) else BLOCKED)


def _read(panel: str, catalogue_file: str) -> tuple[dict[str, Any], Catalogue]:
    catalogue = read_catalogue(catalogue_file)
    assert catalogue is not None  # the option is required
    try:
        return decode(read(panel)), catalogue
    except (InvalidDocument, MalformedJson) as error:
        complain(panel, error)
        sys.exit(BAD_INPUT)


def _targets(texts: tuple[str, ...]) -> list[int | None]:
    try:
        return [current(text) for text in texts] or [None]
    except QuantityError as error:
        raise click.UsageError(f"--target {' '.join(texts)}: {error}") from error


def _print(plans: Sequence[dict[str, Any]], form: str, width: int | None) -> None:
    """Print the plans: in JSON a line each."""
    if form == "json":
        for each in plans:
            click.echo(json.dumps(each, ensure_ascii=False))
        return
    from shutil import get_terminal_size

    from .upgrade_text import plan_text

    columns = width or max(60, get_terminal_size((100, 24)).columns)
    click.echo("\n".join(plan_text(each, columns, sys.stdout.isatty()) for each in plans), nl=False)
