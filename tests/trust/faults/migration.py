"""A migration that is killed before each of its statements: the next one goes on, and nothing is lost."""

import os
import shutil
import signal
from collections.abc import Iterator
from contextlib import closing
from contextlib import contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import MetaData
from sqlalchemy import Table
from sqlalchemy import create_engine
from sqlalchemy import event
from sqlalchemy import inspect
from sqlalchemy import select
from sqlalchemy.engine import URL

from api.store import NewRecord
from api.store import Store
from api.store import migrating
from api.store import open_store
from api.store import tables
from sccr import rate
from tests.store.databases import at
from tests.store.databases import fresh
from tests.store.databases import run_on

from .asking import panel
from .whole import Held

#: The states that a database may be in before: none at all, and each that there was.
STATES = ("", "0001", "0002", "0003")
PANELS = 5


def interrupted(server: URL | None, folder: Path, state: str, most: int | None = None) -> tuple[int, Held]:
    """Kill the migration of a database in a state, at so many of its statements; return how often, and what was lost.

    Each time it is killed it starts from the same database, and is then begun anew by a process that is not killed.
    """
    with fresh(server, folder, migrated=False) as old:
        if state:
            _fill(server, folder, old, state)
        with _copy(server, folder, old) as whole:
            count = _statements(whole)
        chosen = (
            range(1, count + 1) if most is None else sorted({1 + n * (count - 1) // (most - 1) for n in range(most)})
        )
        faults: list[str] = []
        for number in chosen:
            with _copy(server, folder, old) as address:
                faults += [
                    f"state {state or 'none'}, statement {number}: {f}" for f in _killed_at(address, number, state)
                ]
    kept = len(chosen) * PANELS if state else 0
    return len(chosen), Held(kept, [f for f in faults if "lost" in f], [f for f in faults if "lost" not in f])


def _killed_at(address: str, number: int, state: str) -> Iterator[str]:
    child = os.fork()
    if child == 0:  # only _exit leaves here
        try:
            with closing(open_store(address)) as store:
                _strike_at(store, number)
                store.migrate()
        finally:
            os._exit(7)
    if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != -signal.SIGKILL:
        yield "it was not killed"
    if _state(address) not in (state, migrating.newest()):
        yield f"left between two states, at {_state(address)!r}"
    with closing(open_store(address)) as store:
        store.migrate()
        if not store.check():
            yield "the next one does not bring it to the newest state"
        records = store.records(limit=100).items
        told = {(record.document["panel"]["designation"], record.intact) for record in records}
        if state and told != {(f"P-{n}", True) for n in range(PANELS)}:
            yield f"lost: {sorted(told)} are left"
        if store.dialect == "sqlite":
            with store._reading() as connection:
                damage = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
            if damage != ["ok"]:
                yield f"damaged: {damage[:3]}"
        store.put_revision("A-1", "after", _rated("after"))


def _strike_at(store: Store, number: int) -> None:
    """Have this process killed when it is about to run that statement of its migration, of those that there are."""
    left = number

    def count(*_: object) -> None:
        nonlocal left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    engine = store._connected()
    event.listen(engine, "before_cursor_execute", count)
    event.listen(engine, "commit", count)  # and before the end, when all of it is written but not yet there


def _statements(address: str) -> int:
    """Return how many statements a migration has, its end included."""
    count = 0

    def one(*_: object) -> None:
        nonlocal count
        count += 1

    with closing(open_store(address)) as store:
        engine = store._connected()
        event.listen(engine, "before_cursor_execute", one)
        event.listen(engine, "commit", one)
        store.migrate()
    return count


def _fill(server: URL | None, folder: Path, old: str, state: str) -> None:
    """Bring a database to an earlier state, and give it what one of today holds, as far as it has a place for it."""
    engine = create_engine(old)
    with engine.begin() as connection:
        config = Config()
        config.set_main_option("script_location", str(migrating._SCRIPTS))
        config.set_main_option("path_separator", "os")
        config.attributes["connection"] = connection
        command.upgrade(config, state)
    with fresh(server, folder) as today:
        with closing(open_store(today)) as store:
            for number in range(PANELS):
                store.put_revision("A-1", f"P-{number}", _rated(f"P-{number}"))
            batch = store.create_batch("ERP")
            store.add_lines(batch.id, [b"{}"])
        source = create_engine(today)
        with source.connect() as reading, engine.begin() as writing:
            for table in tables.metadata.sorted_tables:
                there = (
                    Table(table.name, MetaData(), autoload_with=writing)
                    if inspect(writing).has_table(table.name)
                    else None
                )
                if there is not None and (rows := reading.execute(select(table)).mappings().all()):
                    writing.execute(there.insert(), [{c.name: row[c.name] for c in there.columns} for row in rows])
        source.dispose()
    engine.dispose()


def _rated(designation: str) -> NewRecord:
    return NewRecord(panel(designation), rate(panel(designation)).as_dict(), "ERP")


def _state(address: str) -> str:
    with closing(open_store(address)) as store, store._reading() as connection:
        return "".join(migrating._state(connection))


@contextmanager
def _copy(server: URL | None, folder: Path, old: str) -> Iterator[str]:
    """Yield a copy of a database that nobody is connected to."""
    if server is None:
        path = Path(old.removeprefix("sqlite:///"))
        copy = folder / f"copy-{path.name}"
        for stray in (copy, Path(f"{copy}-wal"), Path(f"{copy}-shm")):
            stray.unlink(missing_ok=True)
        if path.exists():
            shutil.copyfile(path, copy)
        yield f"sqlite:///{copy}"
        return
    name = old.split("?")[0].rsplit("/", 1)[1]
    run_on(server, f"CREATE DATABASE {name}_copy TEMPLATE {name}")
    try:
        yield at(server, f"{name}_copy")
    finally:
        run_on(server, f"DROP DATABASE {name}_copy WITH (FORCE)")
