"""`sccr backup`: a copy of the database, made while it is in use."""

import sqlite3
from pathlib import Path

import click

from .installation import installed_store
from .installation import of_installation


@click.command("backup")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@of_installation
def backup_command(file: Path, database: str | None, data: Path | None) -> None:
    """Copy the database to a FILE that is not there yet, as it is at one moment, while the service goes on.

    The copy is a database itself: verify it with `sccr verify --database sqlite:////folder/FILE`; to restore it, stop
    the service, delete the old one with the files beside it that end in -wal and -shm, and put the copy in its place.
    That of PostgreSQL is copied with its own pg_dump instead.
    """
    if file.exists() or not file.absolute().parent.is_dir():
        raise click.UsageError(f"{file}: name a file that is not there yet, in a folder that is")
    with installed_store(database, data, migrate=False) as store:
        if store.dialect != "sqlite":
            raise click.UsageError(
                "this is a PostgreSQL database: back it up with pg_dump --format=custom --file=FILE DATABASE, and "
                "restore it with pg_restore"
            )
        try:
            store.backup(file)
        except sqlite3.Error as error:
            raise click.ClickException(f"{file} cannot be written: {error}") from error
    file.chmod(0o600)  # as its original, it holds the orders of customers
    click.echo(f"{file}: {file.stat().st_size} bytes; verify it with sccr verify --database {_address(file)}")


def _address(file: Path) -> str:
    from sqlalchemy.engine import URL

    return URL.create("sqlite", database=str(file.resolve())).render_as_string()
