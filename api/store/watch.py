"""Whether a database has changed since: SQLite tells it in microseconds. Of PostgreSQL nothing like it can be asked."""

import sqlite3
import threading
from contextlib import suppress
from pathlib import Path

from sqlalchemy.engine import URL


class Watch:
    """The state of a database as a number, by a connection of its own, on which nothing else is ever done."""

    def __init__(self, url: URL) -> None:
        self._path = Path(url.database or "").absolute() if not url.query else None
        self._lock = threading.Lock()
        self._connection: sqlite3.Connection | None = None
        self._opened = 0

    def state(self) -> tuple[int, int] | None:
        """Return what is another once any connection, of whatever process, has changed the database.

        None where it cannot be told. SQLite's own number means something on one connection only, whose number is
        therefore the other half.
        """
        if self._path is None:
            return None
        with self._lock, suppress(sqlite3.Error):  # whoever then reads is told what is wrong
            if self._connection is None:
                self._connection = _opened(self._path)
                self._opened += 1
            return self._opened, self._connection.execute("PRAGMA data_version").fetchone()[0]
        return None

    def close(self) -> None:
        """Close the connection; the next call opens another."""
        with self._lock:
            if self._connection is not None:
                self._connection.close()
                self._connection = None


def _opened(path: Path) -> sqlite3.Connection:
    """Return a connection to a file that is there: none is made."""
    return sqlite3.connect(f"{path.as_uri()}?mode=rw", uri=True, isolation_level=None, check_same_thread=False)
