"""Copies of the database made while it is in use, and put in its place after it was lost."""

import subprocess
import sys
from pathlib import Path

from tests.store.databases import run_on
from tests.work.serving import ROOT

from .asking import Load
from .ledger import Ledger
from .own_postgresql import OwnPostgresql
from .served import LOST
from .served import served
from .whole import NOTHING
from .whole import Held
from .whole import held

_BETWEEN = 0.7


def copied(folder: Path, copies: int, seed: int = 1) -> Held:
    """Make copies of a file under load; hold each; then lose the machine, restore the last, and go on with it.

    All that was acknowledged before a copy was begun is in it.
    """
    file = folder / "own.db"
    folder.mkdir(parents=True, exist_ok=True)
    with served(folder / "service", f"sqlite:///{file}") as service:
        load = Load(service, seed, may_break=True)
        found = NOTHING
        for number in range(copies):
            copy = folder / f"copy-{number}.db"
            before: list[Ledger] = []

            def make(copy: Path = copy, before: list[Ledger] = before) -> None:
                before.append(Ledger(acknowledged=list(load.ledger.acknowledged)))
                _backup(service.database, copy)

            load.run(_BETWEEN, make)
            found += held(_as_of(load, before[0]), f"sqlite:///{copy}", complete=False)
        service.kill()
        for lost in folder.glob("own.db*"):  # the log, too: it is of the one that is lost
            lost.unlink()
        copy.rename(file)
        service.move_clock(LOST)
        service.start()
        after = Load(service, seed + 1)
        after.run(_BETWEEN)
        after.settle()
        return found + _restored(after, before[0]) + Held(0, [], [*load.ledger.faults, *service.failures()])


def dumped(server: OwnPostgresql, database: str, folder: Path, seed: int = 1) -> Held:
    """Dump a database of PostgreSQL under load with its own program, restore it elsewhere, and hold that."""
    dump = folder / "dump"
    with served(folder / "service", database) as service:
        load = Load(service, seed)
        before: list[Ledger] = []

        def make() -> None:
            before.append(Ledger(acknowledged=list(load.ledger.acknowledged)))
            server.run("pg_dump", "--format=custom", f"--file={dump}", _libpq(database))

        load.run(2 * _BETWEEN, make)
        own = [*load.ledger.faults, *service.failures()]
    name = f"{database.split('?')[0].rsplit('/', 1)[1]}_restored"
    run_on(server.url, f"CREATE DATABASE {name}")
    restored = server.at(name)
    server.run("pg_restore", "--dbname", _libpq(restored), str(dump))
    found = held(_as_of(load, before[0]), restored, complete=False)
    run_on(server.url, f"DROP DATABASE {name} WITH (FORCE)")
    return found + Held(0, [], own)


def _backup(database: str, copy: Path) -> None:
    command = [sys.executable, "-m", "api", "backup", str(copy), "--database", database]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True, timeout=120)


def _as_of(load: Load, ledger: Ledger) -> Load:
    earlier = Load(load.served, 0, callers=0)
    earlier.ledger = ledger
    return earlier


def _restored(after: Load, before: Ledger) -> Held:
    """Hold what was acknowledged before the copy, and since it was restored."""
    both = _as_of(after, Ledger(acknowledged=[*before.acknowledged, *after.ledger.acknowledged]))
    return held(both, complete=False) + Held(0, [], after.ledger.faults)


def _libpq(database: str) -> str:
    return database.replace("postgresql+psycopg://", "postgresql://")
