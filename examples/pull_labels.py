"""A label maker pulls the nameplates of an order as PDFs, in the size of its plates.

    python examples/pull_labels.py 4711 labels/ --size 100x60

A panel whose rating is withheld or does not cover the fault current gets no nameplate; the reason is told, and the exit
status is 1.
"""

import re
import sys
from pathlib import Path

import click
from sccr_api.client import Client
from sccr_api.client import ClientError
from sccr_api.client import Problem


@click.command()
@click.argument("order")
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option("--size", default="100x60", show_default=True, help="Width x height of the plates [mm].")
@click.option("--server", envvar="SCCR_SERVER", default="http://127.0.0.1:8008", show_default=True)
@click.option("--key", envvar="SCCR_KEY", help="Where the service has keys: one of the role read.")
def pull_labels(order: str, folder: Path, size: str, server: str, key: str | None) -> None:
    """Write the nameplate of each panel of an order into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    refused = 0
    with Client(server, key) as client:
        for panel in client.panels(order):
            designation, revision = panel["designation"], panel["revision"]
            try:
                plate = client.panel_nameplate(order, designation, "pdf", revision=revision, size=size)
            except Problem as problem:
                refused += 1
                click.echo(f"{designation}: {problem}", err=True)
                continue
            # The record is in the name, too: two designations can differ in a character that no file may have.
            file = folder / f"{re.sub(r'[^A-Za-z0-9-]', '_', designation)}-{panel['record']}.pdf"
            file.write_bytes(plate.content)
            click.echo(file)
    sys.exit(1 if refused else 0)


if __name__ == "__main__":
    try:
        pull_labels()
    except ClientError as error:  # no answer, or a refusal that is not of one document
        sys.exit(str(error))
