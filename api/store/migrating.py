"""The schema: brought to the newest state, and asked whether it is there."""

from functools import cache
from pathlib import Path
from typing import Final

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from .database import Database

_SCRIPTS: Final = Path(__file__).with_name("migrations")
#: A number of our own: whoever migrates holds the advisory lock of this name.
_LOCK: Final = 5_082_026


class Migrating(Database):
    """A database with a schema that has versions."""

    def migrate(self) -> None:
        """Bring the schema to its newest state, in one transaction. A second process that does so at once waits.

        Raises Unavailable.
        """
        with self._writing() as connection:
            if self.dialect == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:name)"), {"name": _LOCK})
            config = _config()
            config.attributes["connection"] = connection
            command.upgrade(config, "head")

    def is_there(self) -> bool:
        """Return whether the schema of a store is in the database, of whatever version. Raises Unavailable."""
        with self._reading() as connection:
            return bool(MigrationContext.configure(connection).get_current_heads())

    def check(self) -> bool:
        """Return whether the database answers and its schema is the one of this program. Raises Unavailable."""
        with self._reading() as connection:
            return MigrationContext.configure(connection).get_current_heads() == (_head(),)


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


@cache
def _head() -> str | None:
    return ScriptDirectory.from_config(_config()).get_current_head()
