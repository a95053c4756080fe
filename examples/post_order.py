"""An ERP posts the panels of an order, and learns which of them may ship as they are.

    python examples/post_order.py 4711 panels/*.json --server http://127.0.0.1:8008

A panel that was posted before gets its next revision. Exit status: 0 all are rated and cover the fault current stated
where they will stand, 1 some do not, 2 a document was refused.
"""

import json
import sys
from pathlib import Path

import click
from sccr_api.client import Client
from sccr_api.client import ClientError
from sccr_api.client import Document
from sccr_api.client import Problem
from sccr_api.client import Revision


@click.command()
@click.argument("order")
@click.argument("panels", nargs=-1, required=True, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--server", envvar="SCCR_SERVER", default="http://127.0.0.1:8008", show_default=True)
@click.option("--key", envvar="SCCR_KEY", help="Where the service has keys: one of the role rate.")
def post_order(order: str, panels: tuple[Path, ...], server: str, key: str | None) -> None:
    """Post panel documents as the panels of an order."""
    short, refused = 0, 0
    with Client(server, key) as client:
        for file in panels:
            document = json.loads(file.read_bytes())
            document["panel"]["order"] = order
            try:
                revision = posted(client, order, document)
            except Problem as problem:
                refused += 1
                click.echo(f"{file}: {problem}", err=True)
                continue
            why_not = lacking(revision)
            short += bool(why_not)
            said = why_not or revision["result"]["rating"]["text"]
            click.echo(f"{revision['designation']} revision {revision['revision']}: {said}")
    sys.exit(2 if refused else 1 if short else 0)


def posted(client: Client, order: str, document: Document) -> Revision:
    """Post the first revision of a panel, or the next one of what is there."""
    designation = document["panel"]["designation"]
    try:
        present = client.panel(order, designation)
    except Problem as problem:
        if problem.status != 404:
            raise
        return client.put_panel(order, designation, document, create=True).value
    return client.put_panel(order, designation, document, if_match=present.etag).value


def lacking(revision: Revision) -> str | None:
    """Return what keeps a panel from shipping as it is, None where nothing does."""
    result = revision["result"]
    if result["status"] != "rated":
        return "WITHHELD: " + "; ".join(f["message"] for f in result["findings"] if f["severity"] == "error")
    for supply in result["adequacy"]["supplies"]:
        if not supply["adequate"]:
            held = ", ".join(limit["component"] for limit in result["limited_by"])
            rating, available = result["rating"]["current"], supply["current"]
            return f"NOT COVERED: {rating}, but {available} is available at {supply['supply']}; held by {held}"
    return None


if __name__ == "__main__":
    try:
        post_order()
    except ClientError as error:  # no answer, or a refusal that is not of one document
        sys.exit(str(error))
