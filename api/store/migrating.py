"""The schema: brought to the newest state, and asked whether it is there."""

from functools import cache
from pathlib import Path
from typing import Final

from sqlalchemy import Column
from sqlalchemy import Connection
from sqlalchemy import MetaData
from sqlalchemy import String
from sqlalchemy import Table
from sqlalchemy import inspect
from sqlalchemy import select
from sqlalchemy import text

from .database import Database

_SCRIPTS: Final = Path(__file__).with_name("migrations")
#: A number of our own: whoever migrates holds the advisory lock of this name.
_LOCK: Final = 5_082_026
#: The table in which Alembic notes what it has done.
_DONE: Final = Table("alembic_version", MetaData(), Column("version_num", String(32)))


class Migrating(Database):
    """A database with a schema that has versions."""

    def migrate(self) -> None:
        """Bring the schema to its newest state, in one transaction. A second process that does so at once waits.

        Raises Unavailable.
        """
        with self._writing() as connection:
            if self.dialect == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:name)"), {"name": _LOCK})
            if _state(connection) != (newest(),):
                _upgrade(connection)

    def is_there(self) -> bool:
        """Return whether the schema of a store is in the database, of whatever version. Raises Unavailable."""
        with self._reading() as connection:
            return bool(_state(connection))

    def check(self) -> bool:
        """Return whether the database answers and its schema is the one of this program. Raises Unavailable."""
        with self._reading() as connection:
            return _state(connection) == (newest(),)


@cache
def newest() -> str:
    """Return the newest state of the schema: the name of a step's file begins with it, so that Alembic is not asked."""
    return max(step.name for step in (_SCRIPTS / "versions").glob("r[0-9]*.py"))[1:5]


def _state(connection: Connection) -> tuple[str, ...]:
    """Return the state of the schema; of a database without one, nothing."""
    if not inspect(connection).has_table(_DONE.name):
        return ()
    return tuple(connection.scalars(select(_DONE.c.version_num)))


def _upgrade(connection: Connection) -> None:
    from alembic import command  # a tenth of a second, which a start with a database that is up to date does without
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
