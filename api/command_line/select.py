"""`sccr select`: the devices of a catalogue that suit a circuit."""

import json
import sys
from typing import Any

import click

from sccr import InvalidDocument
from sccr import MalformedJson

from .rate import BAD_INPUT
from .rate import complain
from .rate import read
from .rate import read_catalogue

NONE_SUITS = 1


@click.command("select")
@click.argument("circuit", type=click.Path(dir_okay=False, allow_dash=True))
@click.option("--catalogue", "catalogue_file", required=True, type=click.Path(exists=True, dir_okay=False))
@click.option("--limit", default=8, show_default=True, type=click.IntRange(1), help="Devices and near misses shown.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def select_command(circuit: str, catalogue_file: str, limit: int, form: str) -> None:
    """List the catalogue devices that suit a circuit, best first, each with why; and the near misses.

    CIRCUIT is a document of the format "circuit/1". Exit status: 0 some suit, 1 none does, 2 bad input.
    """
    from sccr.schema.circuit import load_circuit
    from sccr.selection import select

    catalogue = read_catalogue(catalogue_file)
    assert catalogue is not None  # the option is required
    try:
        found = select(load_circuit(read(circuit)), catalogue, limit=limit).as_dict()
    except (InvalidDocument, MalformedJson) as error:
        complain(circuit, error)
        sys.exit(BAD_INPUT)
    click.echo(json.dumps(found, ensure_ascii=False, indent=2) if form == "json" else _text(found))
    sys.exit(0 if found["suitable"] else NONE_SUITS)


def _text(found: dict[str, Any]) -> str:
    lines = [f"{finding['severity']}  {finding['message']}" for finding in found["findings"]]
    lines += ["", f"Suit ({found['counts']['suitable']})"]
    for device in found["suitable"]:
        rating = device["interrupting_rating"]
        price = f", {device['price']}" if device["price"] else ""
        lines.append(f"  {_named(device)}: {rating['current']} at {rating['voltage']}{price}")
        lines += [f"      {reason['check']}: {reason['statement']}" for reason in device["why"]]
    lines += ["", f"Near misses ({found['counts']['near_misses']})"]
    lines += [f"  {_named(miss)}: {miss['against']['statement']}" for miss in found["near_misses"]]
    return "\n".join(lines)


def _named(device: dict[str, Any]) -> str:
    words = [device["part"], device["ampere_rating"], f"{device['poles']} poles" if device["poles"] else None]
    return ", ".join(word for word in words if word)
