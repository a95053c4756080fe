"""`sccr keys`: keys for the callers of the service, made beside its database."""

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Final

import click

from .installation import installed_store
from .installation import of_installation

ROLES: Final = ("read", "rate", "catalogue", "admin")
UNKNOWN: Final = 1


@click.group("keys")
def keys_group() -> None:
    """Make, list and revoke the keys of callers.

    Before the first key is made, the service answers everybody on its own machine and nobody else.
    """


@keys_group.command("create")
@click.option(
    "--role", type=click.Choice(ROLES), required=True, help="What its owner may do; each includes those before."
)
@click.option("--name", required=True, help='Whose it is, such as "ERP": it stands beside what was done with it.')
@of_installation
def create_key(role: str, name: str, database: str | None, data: Path | None) -> None:
    """Make a key, and print it: it is shown once, and cannot be read again.

    Nothing but the key goes to standard output.
    """
    name = name.strip()
    if not name or not name.isprintable():
        raise click.UsageError("--name: write who the key is for, in printable characters")
    with installed_store(database, data, create=True) as store:
        from ..access import Role
        from ..access import new_key

        made = new_key(Role.named(role))
        with store.transaction():
            key = store.add_key(made.prefix, made.hash, role, name)
            store.write_audit("key.create", key.id, {"role": role, "name": name, "by": "command line"})
    click.echo(f"key {key.id} of role {role} for {name}; it is not shown again:", err=True)
    click.echo(made.text)


@keys_group.command("list")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@of_installation
def list_keys(form: str, database: str | None, data: Path | None) -> None:
    """List all keys by their beginnings, the revoked ones too."""
    with installed_store(database, data) as store:
        found = [asdict(key) for key in store.keys()]  # noqa: SIM118  # it is no mapping
    if form == "json":
        click.echo(json.dumps(found, ensure_ascii=False, indent=2))
        return
    for key in found:
        state = f"revoked {_minute(key['revoked_at'])}" if key["revoked_at"] else f"used {_minute(key['last_used_at'])}"
        beginning = f"{key['prefix']}…"
        click.echo(
            f"{key['id']}  {beginning:<13}{key['role']:<10} made {_minute(key['created_at'])}  {state}  {key['name']}"
        )


@keys_group.command("revoke")
@click.argument("id")
@of_installation
def revoke_key(id: str, database: str | None, data: Path | None) -> None:
    """End a key, named by its id, at once; one that has ended stays as it is.

    Exit status: 0 revoked, 1 there is no such key.
    """
    with installed_store(database, data) as store, store.transaction():
        present = store.key(id)
        if present is not None and present.revoked_at is None:
            present = store.revoke_key(id)
            store.write_audit("key.revoke", id, {"name": present.name, "by": "command line"})
    if present is None:
        click.echo(f"there is no key {id}; `sccr keys list` shows their ids", err=True)
        sys.exit(UNKNOWN)
    click.echo(f"key {id} ({present.name}) is revoked")


def _minute(stamp: str | None) -> str:
    return "never" if stamp is None else f"{stamp[:10]} {stamp[11:16]}Z"
