"""The database: connections, which are never shared over a fork, and transactions."""

import os
import sqlite3
import threading
import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from typing import Final
from typing import TypeVar
from weakref import WeakSet

from sqlalchemy import Connection
from sqlalchemy import Engine
from sqlalchemy import create_engine
from sqlalchemy import event
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import InterfaceError
from sqlalchemy.exc import OperationalError
from sqlalchemy.exc import TimeoutError as NoConnection

from .errors import Unavailable
from .identifiers import Identifiers
from .own_file import OwnFile
from .times import Clock
from .times import stamp
from .watch import Watch

Value = TypeVar("Value")

_BUSY_MS: Final = 10_000
_WAL_TRIES: Final = 200
_WAL_PAUSE: Final = 0.05
_WRITES: Final = "sccr_writes"
#: What PostgreSQL says where it takes no changes, as a standby that has not taken over: read_only_sql_transaction.
_READ_ONLY: Final = "25006"

_OPEN: Final[WeakSet["Database"]] = WeakSet()


class Database:
    """What the parts of the store have in common: a place, a clock, names, and transactions of the calling thread."""

    def __init__(self, url: URL, clock: Clock, pool_size: int) -> None:
        self._url = url
        self._clock = clock
        self._pool_size = pool_size
        self._identifiers = Identifiers()
        self._file = OwnFile(url.database or "")
        self._engine: Engine | None = None
        self._renew()
        _OPEN.add(self)

    @property
    def dialect(self) -> str:
        """The kind of database: "sqlite" or "postgresql"."""
        return self._url.get_backend_name()

    def new_id(self) -> str:
        """Return a name that sorts after those given before: 26 characters."""
        return self._identifiers.new(self._clock())

    def close(self) -> None:
        """Close the connections; the next call opens them again."""
        with self._lock:
            self._watch.close()
            if self._engine is not None:
                self._engine.dispose()
                self._engine = None

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Have all calls of this thread within the block committed together, or none of them.

        An exception that leaves the block undoes them. Keep it short: with SQLite there is one writer at a time.
        """
        with self._writing():
            yield

    def _kept(self, name: str, read: Callable[[], Value]) -> Value:
        """Return what `read` does; what it returned before under that name where nobody has changed anything since.

        For what every request asks for. It is never of before: that nothing has changed is asked of the database.
        Raises Unavailable.
        """
        if self.dialect != "sqlite" or getattr(self._own, "connection", None) is not None:
            return read()  # it cannot be told; or a transaction of this thread has changes that nobody else sees
        self._file.require_own()
        state = self._watch.state()
        if state is None:
            return read()
        found: tuple[object, Value] | None = self._known.get(name)
        if found is None or found[0] != state:
            found = self._known[name] = (state, read())
        return found[1]

    def _now(self) -> str:
        return stamp(self._clock())

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        """Yield a connection on which all reads see the same state in SQLite, and what is committed in PostgreSQL."""
        inherited = getattr(self._own, "connection", None)
        if inherited is not None:
            yield inherited
            return
        with _told(), self._connected().connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        """Yield a connection in a transaction that may write, within the one of the thread if there is one."""
        inherited = getattr(self._own, "connection", None)
        if inherited is not None:
            with inherited.begin_nested():  # so that the caller may catch what one call raises, and go on
                yield inherited
            return
        with _told(), self._connected().connect() as connection:
            connection = connection.execution_options(**{_WRITES: True})
            with connection.begin():
                self._own.connection = connection
                try:
                    yield connection
                finally:
                    self._own.connection = None

    def _connected(self) -> Engine:
        engine = self._engine
        if engine is not None:
            return engine
        with self._lock:
            self._engine = self._engine or self._new_engine()
            return self._engine

    def _new_engine(self) -> Engine:
        pool = {"pool_size": self._pool_size, "max_overflow": 3 * self._pool_size, "pool_timeout": _BUSY_MS / 1000}
        if self.dialect == "postgresql":
            return create_engine(self._url, pool_pre_ping=True, **pool)
        engine = create_engine(self._url, connect_args={"timeout": _BUSY_MS / 1000}, **pool)
        event.listen(engine, "do_connect", lambda *_: self._file.require_own())
        event.listen(engine, "connect", lambda *_: self._file.opened())
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", lambda _: self._file.require_own())
        event.listen(engine, "begin", _begin_sqlite)
        return engine

    def _renew(self) -> None:
        """Begin without connections: at first, and in a process that was forked."""
        self._lock = threading.Lock()
        self._engine = None
        self._own = threading.local()
        self._watch = Watch(self._url)
        self._known: dict[str, tuple[object, Any]] = {}


def _prepare_sqlite(connection: sqlite3.Connection, _record: Any) -> None:
    connection.isolation_level = None  # transactions begin where we say, not where the driver thinks
    for pragma in ("foreign_keys = ON", "recursive_triggers = ON", f"busy_timeout = {_BUSY_MS}", "synchronous = FULL"):
        connection.execute(f"PRAGMA {pragma}")
    _write_ahead(connection)


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Switch to the write-ahead log. Of several processes that do so at once, busy_timeout does not keep the others."""
    for _ in range(_WAL_TRIES):
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if "locked" not in str(error):
                raise
        time.sleep(_WAL_PAUSE)
    raise sqlite3.OperationalError("database is locked")


def _begin_sqlite(connection: Connection) -> None:
    """Take the lock of a writer at once: a reader that turns writer fails where another has written meanwhile."""
    writes = connection.get_execution_options().get(_WRITES)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def _told() -> Iterator[None]:
    """Turn what the driver raises where there is no database to talk to into Unavailable."""
    try:
        yield
    except (OperationalError, InterfaceError, NoConnection) as error:
        raise Unavailable(_reason(error)) from error
    except DBAPIError as error:
        if not error.connection_invalidated and getattr(error.orig, "sqlstate", None) != _READ_ONLY:
            raise
        raise Unavailable(_reason(error)) from error


def _reason(error: Exception) -> str:
    cause = error.orig if isinstance(error, DBAPIError) else error
    return f"the database cannot be used: {cause}"


def _before_fork() -> None:
    for database in list(_OPEN):
        database.close()  # a child must not hold, and at its end close, what is the parent's


def _after_fork() -> None:
    for database in list(_OPEN):
        _LEFT.append((database._engine, database._watch))
        database._renew()


#: What another thread of the parent opened at the moment of a fork: never closed here, since it is not ours.
_LEFT: Final[list[tuple[Engine | None, Watch]]] = []

os.register_at_fork(before=_before_fork, after_in_child=_after_fork)
