"""`sccr order`: the panels of orders, as a service stores them."""

import sys
from functools import partial
from typing import Any

import click

from .compare import comparison_text
from .desk import amperes
from .desk import as_json
from .desk import document_of
from .desk import if_match
from .desk import in_form
from .desk import minute
from .desk import of_revision
from .desk import of_service
from .desk import print_each
from .desk import put
from .desk import service
from .desk import to_be_new
from .rate import BAD_INPUT
from .stored import end_by
from .stored import of_plate
from .stored import of_report
from .stored import print_rating
from .stored import write_plate
from .stored import write_report

_ORDER = click.argument("order")
_PANEL = click.argument("designation")


@click.group("order")
def order_group() -> None:
    """Store the panels of orders on a service, and get what follows from them.

    The service is at --server; where it has keys, yours is in the environment variable SCCR_KEY. Exit status: 2 bad
    input, 1 another refusal, each told in full.
    """


@order_group.command("list")
@click.argument("order", required=False)
@click.option("--text", help="Only orders with this in their names.")
@in_form
@of_service
def list_orders(order: str | None, text: str | None, form: str, server: str) -> None:
    """List the orders, or the panels of an ORDER. json: a line each."""
    if order is not None and text is not None:
        raise click.UsageError("--text is of a list of orders; name no order")
    with service(server) as client:
        if order is None:
            print_each(client.orders(text), form, _order_line)
        else:
            print_each(client.panels(order), form, lambda panel: f"{panel['designation']}  {_revision_line(panel)}")


@order_group.command("put")
@_ORDER
@click.argument("panel", type=click.Path(dir_okay=False, allow_dash=True))
@if_match
@to_be_new
@in_form
@of_service
def put_panel(order: str, panel: str, if_match: str | None, new: bool, form: str, server: str) -> None:
    """Store a panel document as the next revision of its panel, and rate it. The designation is that of the document.

    Without --if-match and --new the ETag of the present revision is read first, and used; where there is none yet, it
    becomes the first. Of two who put at the same moment one is refused even so; but only --if-match, with the ETag of
    what you changed, refuses you where somebody else has put a revision since you got yours.

    The new ETag goes to standard error. Exit status: 0 rated, 3 stored but withheld, 2 bad input, 1 refused.
    """
    document = document_of(panel)
    designation = _designation(panel, document)
    with service(server) as client:
        change = partial(client.put_panel, order, designation, document)
        stored = put(change, partial(client.panel, order, designation), if_match, new)
    _print_revision(stored.value, stored.etag, form)
    end_by(stored.value["status"])


@order_group.command("get")
@_ORDER
@_PANEL
@of_revision
@click.option("--document", is_flag=True, help="Print the panel document alone, to be changed and put again.")
@in_form
@of_service
def get_panel(order: str, designation: str, revision: int | None, document: bool, form: str, server: str) -> None:
    """Print a revision of a panel. The ETag, which names the state of the panel, goes to standard error."""
    with service(server) as client:
        found = client.panel(order, designation, revision)
    if document:
        click.echo(as_json(found.value["document"]))
        _tell_etag(found.etag)
    else:
        _print_revision(found.value, found.etag, form)


@order_group.command("rating")
@_ORDER
@_PANEL
@of_revision
@click.option("--format", "form", type=click.Choice(["text", "json", "markdown"]), default="text", show_default=True)
@click.option("--derivation", is_flag=True, help="Print every step of the derivation (text).")
@of_service
def get_rating(order: str, designation: str, revision: int | None, form: str, derivation: bool, server: str) -> None:
    """Print the rating of a revision as it was given. Exit status: 0 rated, 3 withheld, 1 refused."""
    with service(server) as client:
        result = client.panel_rating(order, designation, revision)
    print_rating(result, form, derivation=derivation)
    end_by(result["status"])


@order_group.command("nameplate")
@_ORDER
@_PANEL
@of_revision
@of_plate
@of_service
def get_nameplate(order: str, designation: str, output: str, form: str | None, server: str, **asked: Any) -> None:
    """Write the nameplate of a revision: .svg, .pdf, .png or .json. Refused, with the reason, where it gets none."""
    with service(server) as client:
        write_plate(partial(client.panel_nameplate, order, designation, **asked), output, form)


@order_group.command("report")
@_ORDER
@_PANEL
@of_revision
@of_report
@of_service
def get_report(order: str, designation: str, output: str, form: str | None, server: str, **asked: Any) -> None:
    """Write the calculation report of a revision: .pdf, .html or .md."""
    with service(server) as client:
        write_report(partial(client.panel_report, order, designation, **asked), output, form)


@order_group.command("compare")
@_ORDER
@_PANEL
@click.option("--from", "earlier", type=click.IntRange(1), help="A revision.  [default: the one before --to]")
@click.option("--to", "later", type=click.IntRange(1), help="A later revision.  [default: the newest]")
@in_form
@of_service
def compare_revisions(
    order: str, designation: str, earlier: int | None, later: int | None, form: str, server: str
) -> None:
    """Print what changed from one revision to another, and why the rating moved. Exit status: 0, whatever differs."""
    with service(server) as client:
        found = client.compare(order, designation, earlier, later)
    if form == "json":
        click.echo(as_json(found))
    else:
        click.echo(f"{designation}, from revision {found['from']} to {found['to']}\n{comparison_text(found)}", nl=False)


@order_group.command("history")
@_ORDER
@_PANEL
@in_form
@of_service
def list_revisions(order: str, designation: str, form: str, server: str) -> None:
    """List the revisions of a panel, the newest first. json: a line each."""
    with service(server) as client:
        print_each(client.revisions(order, designation), form, _revision_line)


@order_group.command("ship")
@_ORDER
@_PANEL
@click.argument("revision", type=click.IntRange(1))
@in_form
@of_service
def mark_shipped(order: str, designation: str, revision: int, form: str, server: str) -> None:
    """Note that a REVISION was shipped; a second time changes nothing."""
    with service(server) as client:
        shipped = client.mark_shipped(order, designation, revision)
    click.echo(as_json(shipped) if form == "json" else f"{designation}  {_revision_line(shipped)}")


def _designation(name: str, document: dict[str, Any]) -> str:
    panel = document.get("panel")
    designation = panel.get("designation") if isinstance(panel, dict) else None
    if not isinstance(designation, str) or not designation:
        told = "which panel it is; write its designation, a text"
        click.echo(f"{name}: 1 problem\n  /panel/designation: it does not say {told} [missing]", err=True)
        sys.exit(BAD_INPUT)
    return designation


def _print_revision(revision: Any, etag: str, form: str) -> None:
    if form == "json":
        click.echo(as_json(revision))
    else:
        click.echo(f"order {revision['order']}, {revision['designation']}  {_revision_line(revision)}")
        print_rating(revision["result"], form)
    _tell_etag(etag)


def _tell_etag(etag: str) -> None:
    click.echo(f"ETag {etag}", err=True)


def _order_line(order: Any) -> str:
    panels = order["panels"]
    return f"{order['order']}  {panels} panel{'' if panels == 1 else 's'}, last changed {minute(order['updated_at'])}"


def _revision_line(of: Any) -> str:
    rated = amperes(of["current_amperes"]) if of["status"] == "rated" else of["status"]
    shipped = f", shipped {minute(of['shipped_at'])}" if of["shipped_at"] else ""
    return (
        f"revision {of['revision']}  {rated}  {minute(of['created_at'])} by {of['created_by']}{shipped}, "
        f"record {of['record']}"
    )
