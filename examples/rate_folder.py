"""An engineer rates every panel document in a folder, and gets a table for the spreadsheet.

    python examples/rate_folder.py panels/ > ratings.csv

The documents go as one batch, in any number; the table has their order.
"""

import csv
import json
import sys
from pathlib import Path
from typing import Any

import click
from sccr_api.client import Client
from sccr_api.client import ClientError

COLUMNS = ("file", "designation", "status", "rating_amperes", "limited_by", "least_margin_amperes", "problems")


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--server", envvar="SCCR_SERVER", default="http://127.0.0.1:8008", show_default=True)
@click.option("--key", envvar="SCCR_KEY", help="Where the service has keys: one of the role rate.")
def rate_folder(folder: Path, server: str, key: str | None) -> None:
    """Rate the panel documents (*.json) of a folder."""
    files = sorted(folder.glob("*.json"))
    if not files:
        raise click.UsageError(f"{folder} has no files *.json")
    table = csv.DictWriter(sys.stdout, COLUMNS, restval="", lineterminator="\n")
    table.writeheader()
    with Client(server, key) as client:
        batch = client.create_batch(map(read, files))
        ended = client.wait_for_batch(batch["id"], pause=0.2)
        if ended["state"] != "done":
            raise click.ClickException(f"the batch is {ended['state']}: {ended['reason'] or 'by somebody else'}")
        for file, line in zip(files, client.results(batch["id"]), strict=True):
            table.writerow({"file": file.name, **row(line)})


def read(file: Path) -> Any:
    """Return the document of a file."""
    try:
        return json.loads(file.read_bytes())
    except ValueError as error:
        raise click.ClickException(f"{file}: {error}") from error


def row(line: dict[str, Any]) -> dict[str, Any]:
    """Return what the table says of one document."""
    if "result" not in line:
        errors = line["problem"]["errors"]
        return {"status": "refused", "problems": "; ".join(f"{each['pointer']} {each['detail']}" for each in errors)}
    result = line["result"]
    margins = [supply["margin_amperes"] for supply in result["adequacy"]["supplies"]]
    return {
        "designation": result["panel"]["designation"],
        "status": result["status"],
        "rating_amperes": result["rating"] and result["rating"]["current_amperes"],
        "limited_by": " ".join(limit["component"] for limit in result["limited_by"]),
        "least_margin_amperes": min((margin for margin in margins if margin is not None), default=""),
        "problems": "; ".join(each["message"] for each in result["findings"] if each["severity"] == "error"),
    }


if __name__ == "__main__":
    try:
        rate_folder()
    except ClientError as error:  # no answer, or a refusal that is not of one document
        sys.exit(str(error))
