"""The store of an installation, opened, and the catalogue file that it is given at the start."""

import os
from contextlib import suppress
from pathlib import Path
from typing import Final

from sqlalchemy.engine import URL
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

from sccr import Catalogue
from sccr.schema.strict_json import decode

from .settings import Settings
from .store import Conflict
from .store import Delete
from .store import Put
from .store import Store
from .store import open_store
from .tables import changes_between
from .tables import digests_of

_FILE: Final = "sccr.db"
_ASKED_BY: Final = "start of the service"
_SQLITE: Final = b"SQLite format 3\0"


class NoDatabase(LookupError):
    """There is no database where one was expected. The message names the place."""


def open_own_store(settings: Settings) -> Store:
    """Return the store of an installation, with its schema at its newest state; it is made where it is not there.

    Raises StoreUrl, Unavailable, NoDatabase where its file is another's, and OSError where there is no place for it.
    """
    _require_own(_file_of(settings))
    if settings.database is None:
        # Only its owner may read it: it holds the orders of customers.
        _folder(settings).mkdir(mode=0o700, parents=True, exist_ok=True)
    store = open_store(_address(settings))
    store.migrate()
    return store


def open_present_store(settings: Settings, *, migrate: bool = True) -> Store:
    """Return the store of an installation, as `open_own_store` does, but make none; its schema may stay as it is.

    Raises StoreUrl, Unavailable, OSError, and NoDatabase where there is none.
    """
    file = _file_of(settings)
    if file is not None and not (file.is_file() and file.stat().st_size):
        raise NoDatabase(f"there is no database {file}")
    _require_own(file)
    store = open_store(_address(settings))
    if not store.is_there():
        store.close()
        raise NoDatabase(f"there is a database {file or 'of this address'}, but sccr keeps nothing in it")
    if migrate:
        store.migrate()
    return store


def take_catalogue(store: Store, file: Path) -> None:
    """Have the store hold the parts of a catalogue file and no others: as one new version, where it holds others.

    Raises OSError, and sccr.SccrError where it is no catalogue.
    """
    body = file.read_bytes()
    catalogue = Catalogue.from_document(body)
    parts = decode(body)["parts"]
    while True:
        newest = store.catalogue_version()
        if newest is not None and newest.digest == catalogue.digest:
            return
        removed = changes_between(store, digests_of(parts), replace=True).removed
        changes: list[Put | Delete] = [*map(Put, parts), *map(Delete, removed)]
        try:
            store.apply_changes(changes, _ASKED_BY, catalogue.title, newest.number if newest else 0)
            return
        except Conflict:  # another process has begun at the same moment
            continue


def _require_own(file: Path | None) -> None:
    """Raise NoDatabase where a file is something else than a database."""
    if file is None or not file.is_file():
        return
    with file.open("rb") as opened:
        start = opened.read(len(_SQLITE))
    if start not in (b"", _SQLITE):
        raise NoDatabase(f"{file} is no SQLite database")


def _file_of(settings: Settings) -> Path | None:
    """Return the file of the database, None where it is none of SQLite."""
    with suppress(ArgumentError, ValueError):  # which `open_store` tells
        url = make_url(_address(settings))
        if url.get_backend_name() == "sqlite" and url.database and ":memory:" not in url.database:
            return Path(url.database)
    return None


def _address(settings: Settings) -> str:
    own = URL.create("sqlite", database=str(_folder(settings).resolve() / _FILE))
    return settings.database or own.render_as_string()


def _folder(settings: Settings) -> Path:
    return settings.data or _data_home() / "sccr"


def _data_home() -> Path:
    """Return where programs keep what is the user's (XDG Base Directory Specification)."""
    stated = os.environ.get("XDG_DATA_HOME", "")
    return Path(stated) if stated.startswith("/") else Path.home() / ".local" / "share"
