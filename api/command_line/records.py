"""`sccr records`: the ratings that a service keeps."""

from functools import partial
from typing import Any

import click

from .desk import amperes
from .desk import as_json
from .desk import document_of
from .desk import in_form
from .desk import minute
from .desk import of_service
from .desk import print_each
from .desk import service
from .stored import end_by
from .stored import of_plate
from .stored import of_report
from .stored import print_rating
from .stored import write_plate
from .stored import write_report

_RECORD = click.argument("record")


@click.group("records")
def records_group() -> None:
    """Read the ratings that a service keeps: each with its document, as it was given.

    The service is at --server; where it has keys, yours is in the environment variable SCCR_KEY. Exit status: 2 bad
    input, 1 another refusal, each told in full.
    """


@records_group.command("list")
@click.option("--order", help="Only of this order.")
@click.option("--designation", help="Only of panels of this designation.")
@click.option("--part", help="Only of panels that name this part.")
@click.option("--document-digest", help="Only of this document.")
@in_form
@of_service
def list_records(form: str, server: str, **filters: Any) -> None:
    """List the records that meet every filter, the oldest first. json: a line each."""
    with service(server) as client:
        print_each(client.records(**filters), form, _record_line)


@records_group.command("get")
@_RECORD
@in_form
@of_service
def get_record(record: str, form: str, server: str) -> None:
    """Print a record: text, its rating; json, all of it."""
    with service(server) as client:
        _print_record(client.record(record), form)


@records_group.command("keep")
@click.argument("panel", type=click.Path(dir_okay=False, allow_dash=True))
@in_form
@of_service
def keep_rating(panel: str, form: str, server: str) -> None:
    """Rate a panel document of no order, and keep the rating. Exit status: 0 rated, 3 withheld, 2 bad input."""
    document = document_of(panel)
    with service(server) as client:
        kept = client.rate_and_keep(document)
    _print_record(kept, form)
    end_by(kept["status"])


@records_group.command("nameplate")
@_RECORD
@of_plate
@of_service
def get_nameplate(record: str, output: str, form: str | None, server: str, **asked: Any) -> None:
    """Write the nameplate of a record: .svg, .pdf, .png or .json. Refused, with the reason, where it gets none."""
    with service(server) as client:
        write_plate(partial(client.record_nameplate, record, **asked), output, form)


@records_group.command("report")
@_RECORD
@of_report
@of_service
def get_report(record: str, output: str, form: str | None, server: str, **asked: Any) -> None:
    """Write the calculation report of a record: .pdf, .html or .md."""
    with service(server) as client:
        write_report(partial(client.record_report, record, **asked), output, form)


def _print_record(record: Any, form: str) -> None:
    if form == "json":
        click.echo(as_json(record))
    else:
        click.echo(_record_line(record))
        print_rating(record["result"], form)


def _record_line(record: Any) -> str:
    rated = amperes(record["current_amperes"]) if record["status"] == "rated" else record["status"]
    of = f", order {record['order']}, {record['designation']} revision {record['revision']}" if record["order"] else ""
    return f"{record['id']}  {rated}  {minute(record['asked_at'])} by {record['asked_by']}{of}"
