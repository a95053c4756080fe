"""Calls that belong together are kept together; a copy is made while others write."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from api.store import Conflict
from api.store import Exists
from api.store import NotSupported
from api.store import Put
from api.store import Store
from api.store import open_store

from .conftest import panel
from .conftest import rated


def test_all_calls_of_a_transaction_or_none(store: Store) -> None:
    with pytest.raises(ZeroDivisionError), store.transaction():
        store.put_revision("A-1", "Line 1", rated(panel()))
        store.apply_changes([Put({"part": "OAT", "kind": "motor"})], "me")
        store.write_audit("put", "A-1", {})
        raise ZeroDivisionError
    assert store.orders().items == store.records().items == store.audit().items == ()
    assert store.catalogue_version() is None
    with store.transaction():
        store.put_revision("A-1", "Line 1", rated(panel()))
        store.write_audit("put", "A-1", {})
    assert len(store.orders().items) == len(store.audit().items) == 1


def test_a_transaction_sees_what_it_has_written(store: Store) -> None:
    with store.transaction():
        record = store.append_record(rated(panel()))
        assert store.record(record.id) == record
        with store.transaction():
            assert store.records().items == (record,)


def test_what_one_call_refuses_undoes_that_call_only(store: Store) -> None:
    with store.transaction():
        store.write_audit("first", "", {})
        with pytest.raises(Conflict):
            store.put_revision("A-1", "Line 1", rated(panel()), expected_etag="stale")
        with pytest.raises(ZeroDivisionError), store.transaction():
            store.write_audit("undone", "", {})
            raise ZeroDivisionError
        store.write_audit("last", "", {})
    assert [entry.action for entry in store.audit().items] == ["last", "first"]
    assert store.orders().items == ()


def test_others_see_nothing_of_a_transaction_before_its_end(store: Store, url: str) -> None:
    with closing(open_store(url)) as other:
        with store.transaction():
            store.write_audit("done", "", {})
            assert other.audit().items == ()
        assert len(other.audit().items) == 1


def test_after_a_failure_the_thread_begins_anew(store: Store) -> None:
    for _ in range(3):
        with pytest.raises(ZeroDivisionError), store.transaction():
            raise ZeroDivisionError
    store.write_audit("done", "", {})
    assert len(store.audit().items) == 1


def test_a_copy_is_whole_and_its_own(store: Store, tmp_path: Path) -> None:
    record = store.append_record(rated(panel()))
    to = tmp_path / "copy" / "store.db"
    to.parent.mkdir()
    if store.dialect == "postgresql":
        with pytest.raises(NotSupported, match="pg_dump"):
            store.backup(to)
        return
    store.backup(to)
    store.append_record(rated(panel()))
    assert [path.name for path in to.parent.iterdir()] == ["store.db"]
    with closing(sqlite3.connect(to)) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    with closing(open_store(f"sqlite:///{to}")) as copied:
        assert copied.check()
        assert copied.records().items == (record,)
        copied.append_record(rated(panel()))
    with pytest.raises(Exists):
        store.backup(to)
    assert len(store.records().items) == 2
