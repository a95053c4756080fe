"""`sccr audit`: who did what, read beside the database of the service."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .installation import installed_store
from .installation import of_installation

if TYPE_CHECKING:
    from ..store import AuditEntry
    from ..store import Store

_AT_ONCE = 200


@click.command("audit")
@click.option("--action", help="Only what was done of this kind, such as key.create or catalogue.import.")
@click.option("--key", "key_id", help="Only what was done with this key, named by its id (`sccr keys list`).")
@click.option("--last", type=click.IntRange(1), default=50, show_default=True, help="At most so many.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@of_installation
def audit_command(
    action: str | None, key_id: str | None, last: int, form: str, database: str | None, data: Path | None
) -> None:
    """List who did what to what, and in which request, the newest first. json: a line each.

    Nothing is ever taken from the log. What no key is named for was done at the command line, by the service itself,
    or while it ran open.
    """
    with installed_store(database, data, migrate=False) as store:
        names = {key.id: key.name for key in store.keys()}  # noqa: SIM118  # it is no mapping
        for entry in _entries(store, action, key_id, last):
            if form == "json":
                click.echo(json.dumps(asdict(entry), ensure_ascii=False))
            else:
                click.echo(_line(entry, names))


def _entries(store: "Store", action: str | None, key_id: str | None, last: int) -> Iterator["AuditEntry"]:
    after = None
    while last > 0:
        page = store.audit(after, min(last, _AT_ONCE), action=action, key_id=key_id)
        yield from page.items
        last -= len(page.items)
        if (after := page.next) is None:
            return


def _line(entry: "AuditEntry", names: dict[str, str]) -> str:
    who = "no key" if entry.key_id is None else f"{names.get(entry.key_id, 'a key that is gone')} ({entry.key_id})"
    request = "" if entry.request_id is None else f", request {entry.request_id}"
    detail = json.dumps(entry.detail, ensure_ascii=False)
    return f"{entry.at[:19]}Z  {entry.action}  {entry.object}  by {who}{request}  {detail}"
