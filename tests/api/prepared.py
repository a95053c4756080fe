"""A store with an order in it, always the same one: what the examples of the contract are run against.

The panel ELV-02 of the order TO-24018 has two revisions of one document. Between them the catalogue has changed: its
contactor was marked 5 kA, which does not cover the 12 kA available, and is marked 18 kA now.
"""

import shutil
import tempfile
from collections.abc import Mapping
from copy import deepcopy
from datetime import UTC
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from api.store import NewRecord
from api.store import Put
from api.store import Store
from api.store import open_store
from sccr import rate

ORDER = "TO-24018"
DESIGNATION = "ELV-02"
RECORDS = ("01JJY0M8TT9CQ8Z5B2W7E4R6K1", "01JJY0M8TT9CQ8Z5B2W7E4R6K2")

BREAKER: dict[str, Any] = {
    "part": "RYE-3P-15",
    "kind": "circuit_breaker",
    "description": "Branch breaker, three poles",
    "poles": 3,
    "ampere_rating": "15 A",
    "interrupting_ratings": [{"voltage": "480Y/277 V", "current": "22 kA"}],
    "standards": ["UL 489"],
    "mounting": "DIN rail",
}
CONTACTOR: dict[str, Any] = {
    "part": "MILLET-C9",
    "kind": "contactor",
    "description": "Contactor, 5 hp at 480 V",
    "horsepower": "5 hp",
    "short_circuit_ratings": [{"voltage": "480 V", "current": "5 kA"}],
    "standards": ["UL 60947-4-1"],
    "mounting": "DIN rail",
}
BETTER_CONTACTOR = {**CONTACTOR, "short_circuit_ratings": [{"voltage": "480 V", "current": "18 kA"}]}

ELEVATOR: dict[str, Any] = {
    "format": "panel/1",
    "panel": {
        "designation": DESIGNATION,
        "title": "Bucket elevator starter",
        "order": ORDER,
        "builder": "Thistledown Mill Machinery (fictional)",
        "drawing": "TM-1002",
        "enclosure_type": "Type 12",
    },
    "supplies": [
        {
            "id": "MAINS",
            "voltage": "480Y/277 V",
            "system": "solidly_grounded_wye",
            "frequency": "60 Hz",
            "full_load_current": "7.6 A",
            "available_fault_current": "12 kA",
            "available_fault_current_date": "2026-01-12",
        }
    ],
    "components": [
        {"id": "-FC1", "part": "RYE-3P-15", "fed_from": "MAINS"},
        {"id": "-QA1", "part": "MILLET-C9", "fed_from": "-FC1"},
        {"id": "-MA1", "kind": "motor", "fed_from": "-QA1", "full_load_current": "7.6 A", "location": "field"},
    ],
}


def clock() -> datetime:
    """The moment at which everything happens in the examples."""
    return datetime(2026, 1, 31, 12, tzinfo=UTC)


def prepared_store(folder: Path) -> Store:
    """Return the prepared store, as a file of its own in a folder."""
    path = folder / "prepared.db"
    shutil.copyfile(_prepared_file(), path)
    return open_store(f"sqlite:///{path}", clock=clock)


@cache
def _prepared_file() -> Path:
    path = Path(tempfile.mkdtemp(prefix="sccr-prepared-")) / "prepared.db"
    store = open_store(f"sqlite:///{path}", clock=clock)
    store.migrate()
    fill(store)
    store.close()
    return path


def fill(store: Store) -> None:
    """Put the order into an empty store."""
    for contactor, record in zip((CONTACTOR, BETTER_CONTACTOR), RECORDS, strict=True):
        store.apply_changes([Put(BREAKER), Put(contactor)], "catalogue desk")
        store.put_revision(ORDER, DESIGNATION, _rated(store, ELEVATOR, record))


def _rated(store: Store, document: Mapping[str, Any], record: str) -> NewRecord:
    document = deepcopy(dict(document))
    catalogue = store.catalogue_for(document)
    assert catalogue is not None
    result = rate(document, catalogue).as_dict()
    return NewRecord(document, result, "ERP", catalogue_version=catalogue.version, id=record)
