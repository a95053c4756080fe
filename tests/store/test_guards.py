"""What was acknowledged is kept, even from somebody who writes SQL by hand."""

from collections.abc import Iterator
from typing import Any

import pytest
from sqlalchemy import Engine
from sqlalchemy import create_engine
from sqlalchemy.exc import IntegrityError

from api.store import Delete
from api.store import PartQuery
from api.store import Put
from api.store import Store

from .conftest import panel
from .conftest import rated

#: Each with one of its columns, and what a forger might write there.
KEPT = {
    "records": ("result", "'{}'"),
    "record_parts": ("part", "'X'"),
    "catalogue_versions": ("digest", "'0'"),
    "part_documents": ("document", "'{}'"),
    "part_ratings": ("interrupting_ma", "100000000"),
    "part_attributes": ("value", "'ul 489'"),
    "revisions": ("etag", "'0'"),
    "shipments": ("shipped_by", "'X'"),
    "audit": ("detail", "'{}'"),
    "parts": ("part_digest", "'0'"),
}
REFUSAL = "rows are never changed or deleted"


@pytest.fixture
def filled(store: Store, parts: list[dict[str, Any]]) -> Store:
    """A store that has something in each table that is guarded."""
    store.apply_changes([Put(part) for part in parts], "me")
    document = panel("whole_line")
    new = rated(document, catalogue=store.catalogue_for(document), catalogue_version=1)
    store.put_revision("A-1", "Line 1", new)
    store.mark_shipped("A-1", "Line 1", 1, "me")
    store.write_audit("catalogue.changed", "version 1", {"parts": len(parts)})
    return store


@pytest.fixture
def forger(filled: Store, url: str) -> Iterator[Engine]:
    """Somebody with the rights of the service and none of its code."""
    engine = create_engine(url)
    yield engine
    engine.dispose()


def content(engine: Engine, table: str) -> list[tuple[Any, ...]]:
    with engine.connect() as connection:
        return sorted((tuple(row) for row in connection.exec_driver_sql(f"SELECT * FROM {table}")), key=str)


def refuse(engine: Engine, statement: str) -> None:
    with pytest.raises(IntegrityError, match=REFUSAL), engine.begin() as connection:
        connection.exec_driver_sql(statement)


@pytest.mark.parametrize("table", KEPT)
def test_nothing_that_is_kept_can_be_changed_or_deleted(forger: Engine, table: str) -> None:
    before = content(forger, table)
    assert before, "a table without rows proves nothing"
    column, value = KEPT[table]
    refuse(forger, f"UPDATE {table} SET {column} = {value}")
    refuse(forger, f"DELETE FROM {table}")
    if forger.dialect.name == "postgresql":
        refuse(forger, f"TRUNCATE {table} CASCADE")
    else:
        refuse(forger, f"INSERT OR REPLACE INTO {table} SELECT * FROM {table} LIMIT 1")
    assert content(forger, table) == before


@pytest.mark.parametrize("column", ["part", "kind", "poles", "ampere_ma", "mounting", "interrupting_ma", "folded"])
def test_of_a_part_only_its_end_is_written_and_that_once(forger: Engine, filled: Store, column: str) -> None:
    gone = filled.search(PartQuery(kind="circuit_breaker", mounting="DIN rail")).items[0].part
    filled.apply_changes([Delete(gone)], "me")
    refuse(forger, f"UPDATE parts SET to_version = 2, {column} = NULL WHERE to_version IS NULL")
    refuse(forger, f"UPDATE parts SET to_version = NULL WHERE part = '{gone}'")
    refuse(forger, f"UPDATE parts SET to_version = 1 WHERE part = '{gone}'")
    assert filled.part(gone) is None
    assert filled.part(gone, 1) is not None


def test_a_record_that_was_forged_all_the_same_shows(filled: Store, forger: Engine) -> None:
    """Who owns the database can drop the triggers; the digests still tell."""
    record = filled.records().items[0]
    assert record.intact
    name = "records_keeps_on_update"
    drop = f"DROP TRIGGER {name}" + (" ON records" if forger.dialect.name == "postgresql" else "")
    with forger.begin() as connection:
        connection.exec_driver_sql(drop)
        connection.exec_driver_sql("UPDATE records SET asked_by = 'somebody else'")
    forged = filled.record(record.id)
    assert forged is not None
    assert not forged.intact
