"""The store of an installation, opened, and the catalogue file that it is given at the start."""

import os
from pathlib import Path
from typing import Final

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


def open_own_store(settings: Settings) -> Store:
    """Return the store of an installation, with its schema at its newest state.

    Raises StoreUrl, Unavailable, and OSError where there is no place for its file.
    """
    store = open_store(settings.database or _own_file(settings))
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


def _own_file(settings: Settings) -> str:
    """Return the address of a file in the folder of the installation, which is made where it is not there.

    Only its owner may read it: it holds the orders of customers.
    """
    folder = settings.data or _data_home() / "sccr"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return f"sqlite:///{folder.resolve() / _FILE}"


def _data_home() -> Path:
    """Return where programs keep what is the user's (XDG Base Directory Specification)."""
    stated = os.environ.get("XDG_DATA_HOME", "")
    return Path(stated) if stated.startswith("/") else Path.home() / ".local" / "share"
