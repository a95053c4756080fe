"""`sccr select`: the devices of a catalogue that suit a circuit."""

import json
import sys
from typing import Any

import click

from sccr import InvalidDocument
from sccr import MalformedJson
from sccr.schema.strict_json import decode

from .rate import BAD_INPUT
from .rate import complain
from .rate import read
from .rate import read_catalogue

NONE_SUITS = 1


@click.command("select")
@click.argument("circuit", type=click.Path(dir_okay=False, allow_dash=True))
@click.option("--catalogue", "catalogue_file", required=True, type=click.Path(exists=True, dir_okay=False))
@click.option("--edition", help="Choose by this edition, whatever the circuit asks for, such as 'IEC 61439-2:2020'.")
@click.option("--limit", default=8, show_default=True, type=click.IntRange(1), help="Devices and near misses shown.")
@click.option("--why", is_flag=True, help="Print what every check says of each device (text).")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--width", type=click.IntRange(60, 400), help="Columns of the text; default: the terminal's.")
def select_command(
    circuit: str, catalogue_file: str, edition: str | None, limit: int, why: bool, form: str, width: int | None
) -> None:
    """List the catalogue devices that suit a circuit, best first, and the near misses with the reason against each.

    CIRCUIT is a document of the format "circuit/1". Best is the smallest ampere rating that suits, then the greatest
    margin of the interrupting rating, then the price. Exit status: 0 some suit, 1 none does, 2 bad input.
    """
    from sccr.schema.circuit import load_circuit
    from sccr.selection import select

    catalogue = read_catalogue(catalogue_file)
    assert catalogue is not None  # the option is required
    try:
        found = select(load_circuit(_asked(circuit, edition)), catalogue, limit=limit).as_dict()
    except (InvalidDocument, MalformedJson) as error:
        complain(circuit, error)
        sys.exit(BAD_INPUT)
    if form == "json":
        click.echo(json.dumps(found, ensure_ascii=False, indent=2))
    else:
        from shutil import get_terminal_size

        from .select_text import selection_text

        columns = width or max(60, get_terminal_size((100, 24)).columns)
        click.echo(selection_text(found, columns, sys.stdout.isatty(), why), nl=False)
    sys.exit(0 if found["suitable"] else NONE_SUITS)


def _asked(circuit: str, edition: str | None) -> Any:
    """Return the circuit document; with another edition than it asks for, where one is named."""
    written = read(circuit)
    if edition is None:
        return written
    document = decode(written)
    return {**document, "edition": edition} if isinstance(document, dict) else document
