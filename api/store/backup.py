"""A copy of the store, made while it is in use."""

import sqlite3
from contextlib import closing
from pathlib import Path

from .database import Database
from .errors import Exists
from .errors import NotSupported


class Backup(Database):
    """The part of the store that copies it."""

    def backup(self, path: Path) -> None:
        """Write a copy of the whole store as it is at one moment, while others go on.

        Raises Exists where there is such a file, NotSupported with PostgreSQL, whose pg_dump does this.
        """
        if self.dialect != "sqlite":
            raise NotSupported("PostgreSQL is backed up with its own pg_dump")
        if path.exists():
            raise Exists(f"there is a file {path}; nothing was written")
        growing = path.with_name(f"{path.name}.part")
        growing.unlink(missing_ok=True)
        with self._reading() as connection, closing(sqlite3.connect(growing)) as copy:
            own = connection.connection.driver_connection
            assert isinstance(own, sqlite3.Connection)
            own.backup(copy)
        growing.rename(path)
