"""Faults: processes killed, disks full, databases gone, clocks moved, against the real service on real databases.

After each: all that was acknowledged is there and whole, nothing is there by half, and what could not be done meanwhile
was refused by a problem that says so. `whole` is what that means, `asking` who asks meanwhile.
"""

import itertools
import tempfile
from collections.abc import Callable
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from sqlalchemy.engine import URL

from tests.store.databases import fresh
from tests.trust.row import Row

from .backups import copied
from .backups import dumped
from .clock_jump import JUMPS
from .clock_jump import jumped
from .killed import CRASHES
from .killed import VICTIMS
from .killed import killed_under_load
from .migration import STATES
from .migration import interrupted
from .own_postgresql import OwnPostgresql
from .own_postgresql import own_postgresql
from .slow import among_slow
from .struck import full
from .struck import immutable
from .struck import limited
from .struck import moved
from .struck import read_only
from .struck import small_disk
from .struck import struck
from .whole import NOTHING
from .whole import Held

#: What is tried: its name, how often, of what unit, and how.
Trial = tuple[str, int, str, Callable[[], Held]]


def tried(nightly: bool) -> Iterator[Row]:
    """Yield a row for each fault."""
    with tempfile.TemporaryDirectory(prefix="sccr-faults-") as name, own_postgresql() as server:
        folder = Path(name)
        for what, count, unit, attempt in itertools.chain(
            _of_processes(folder, server, nightly), _of_databases(folder, server, nightly), _of_others(folder, nightly)
        ):
            yield _row(what, count, unit, attempt)
        yield from _of_migrations(folder, server, nightly)


def _row(what: str, count: int, unit: str, attempt: Callable[[], Held]) -> Row:
    try:
        found = attempt()
    except Exception as error:  # whatever it is, the others are tried, too
        found = Held(0, [], [f"{type(error).__name__}: {error}"])
    wrong = [*found.losses, *found.faults]
    note = "; ".join([f"{found.acknowledged:,} held", *(each[:200] for each in wrong[:2])])
    return Row("faults", what, count, unit, len(found.faults), len(found.losses), note)


def _of_processes(folder: Path, server: OwnPostgresql, nightly: bool) -> Iterator[Trial]:
    rounds = 50 if nightly else 4
    file = f"sqlite:///{folder / 'killed.db'}"
    yield "kill -9 under load, SQLite", rounds, "kills", lambda: killed_under_load(file, folder / "killed", rounds)
    fewer = rounds if nightly else 2
    yield (
        "kill -9 under load, PostgreSQL",
        fewer,
        "kills",
        lambda: _on(server, folder, lambda it: killed_under_load(it, folder / "own", fewer, 2, victims=VICTIMS[::2])),
    )
    crashes = 24 if nightly else 3
    crashed = f"sqlite:///{folder / 'crashed.db'}"
    kinds = ("worker", "worker", "work")
    ends = partial(killed_under_load, crashed, folder / "crashed", crashes, 3, victims=kinds, signals=CRASHES)
    yield "a worker ends by SIGSEGV, SIGABRT, SIGBUS", crashes, "crashes", ends


def _of_databases(folder: Path, server: OwnPostgresql, nightly: bool) -> Iterator[Trial]:
    times = 5 if nightly else 1
    yield "disk full, SQLite", times, "times", lambda: _each(times, partial(full_disk, folder))
    yield "database moved away and back, SQLite", times, "times", lambda: _each(times, partial(moved_away, folder))
    if (strokes := immutable(folder / "immutable" / "own.db")) is not None:
        unchanging = f"sqlite:///{folder / 'immutable' / 'own.db'}"
        again = lambda seed: struck(unchanging, folder / f"immutable-{seed}", *strokes, seed=seed)  # noqa: E731
        yield "database read-only, SQLite", 1, "times", lambda: _each(1, again)
    gone = lambda seed: stopped(server, folder / f"stopped-{seed}", seed)  # noqa: E731
    yield "server stopped and started, PostgreSQL", times, "times", lambda: _each(times, gone)
    kept = lambda seed: written_to_no_more(server.url, folder / f"kept-{seed}", seed)  # noqa: E731
    yield "database read-only, PostgreSQL", times, "times", lambda: _each(times, kept)
    copies = 10 if nightly else 2
    yield "sccr backup under load, restored, SQLite", copies, "copies", lambda: copied(folder / "copied", copies)
    dump = lambda seed: _on(server, folder, lambda it: dumped(server, it, folder / f"dumped-{seed}", seed))  # noqa: E731
    yield "pg_dump under load, restored, PostgreSQL", times, "copies", lambda: _each(times, dump)


def _of_others(folder: Path, nightly: bool) -> Iterator[Trial]:
    jumps = JUMPS * 3 if nightly else JUMPS[:2]
    file = f"sqlite:///{folder / 'jumped.db'}"
    yield "clock set forth and back, SQLite", len(jumps), "jumps", lambda: jumped(file, folder / "jumped", jumps)
    count = 100 if nightly else 10

    def slow() -> Held:
        answered = among_slow(f"sqlite:///{folder / 'slow.db'}", count)
        return Held(answered.asked, [], answered.faults)

    yield "among slow and half-open connections", 4 * count, "requests", slow


def _of_migrations(folder: Path, server: OwnPostgresql, nightly: bool) -> Iterator[Row]:
    for kind, url, usual in (("SQLite", None, STATES), ("PostgreSQL", server.url, STATES[1:2])):
        killed, found = 0, NOTHING
        for state in STATES if nightly else usual:
            count, more = interrupted(url, folder, state, None if nightly else 3)
            killed, found = killed + count, found + more
        yield _row(f"migration killed in the middle, {kind}", killed, "kills", partial(_same, found))


def _same(found: Held) -> Held:
    return found


def full_disk(folder: Path, seed: int = 1) -> Held:
    """Fill the disk of a database, and of temporary files and the log; where none is to be had, let no file grow."""
    with small_disk() as disk:
        if disk is not None:
            return struck(f"sqlite:///{disk / 'own.db'}", disk / "service", *full(disk), seed=seed)
    return struck(f"sqlite:///{folder / f'full-{seed}.db'}", folder / f"full-{seed}", *limited(), seed=seed)


def moved_away(folder: Path, seed: int = 1) -> Held:
    """Move the file of a database away for a while."""
    file = folder / f"moved-{seed}.db"
    return struck(f"sqlite:///{file}", folder / f"moved-{seed}", *moved(file), seed=seed)


def stopped(server: OwnPostgresql, folder: Path, seed: int = 1) -> Held:
    """Stop the server of a database, at once, and start it again."""
    strike, heal = (lambda _: server.stop()), (lambda _: server.start())
    return _on(server, folder.parent, lambda it: struck(it, folder, strike, heal, seed=seed))


def written_to_no_more(server: URL, folder: Path, seed: int = 1) -> Held:
    """Have a server take no changes for a while."""
    with fresh(server, folder.parent) as address:
        name = address.split("?")[0].rsplit("/", 1)[1]
        return struck(address, folder, *read_only(server, name), seed=seed)


def _on(server: OwnPostgresql, folder: Path, attempt: Callable[[str], Held]) -> Held:
    with fresh(server.url, folder) as address:
        return attempt(address)


def _each(times: int, attempt: Callable[[int], Held]) -> Held:
    return sum((attempt(seed) for seed in range(1, times + 1)), NOTHING)
