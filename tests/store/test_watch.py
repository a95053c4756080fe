"""What every request asks for is read once, as long as nobody has changed the database; and never is of before."""

import os
import socket
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest

from api.store import Put
from api.store import Store
from api.store import open_store

from .conftest import ROOT
from .databases import fresh

HASH = "0" * 64

_FROM_ANOTHER_PROCESS = """
import sys
from api.store import Put, open_store
store = open_store(sys.argv[1])
store.add_key("sccr_r_abcd", "0" * 64, "read", "the ERP")
store.apply_changes([Put({"part": "RYE", "kind": "motor"})], "me")
"""


def number(store: Store) -> int | None:
    newest = store.catalogue_version()
    return None if newest is None else newest.number


def test_what_another_process_changes_is_seen_at_once(url: str, store: Store) -> None:
    assert (store.any_keys(), number(store)) == (False, None)
    assert (store.any_keys(), number(store)) == (False, None)
    subprocess.run([sys.executable, "-c", _FROM_ANOTHER_PROCESS, url], cwd=ROOT, check=True, timeout=60)
    assert (store.any_keys(), number(store)) == (True, 1)


def test_what_another_store_and_this_one_change_is_seen_at_once(url: str, store: Store) -> None:
    with closing(open_store(url)) as other:
        for expected in range(1, 9):
            by = (store, other)[expected % 2]
            by.apply_changes([Put({"part": f"RYE-{expected}", "kind": "motor"})], "me")
            assert (number(store), number(other)) == (expected, expected)


def test_within_a_transaction_its_own_changes_are_seen_and_outside_only_when_they_are_committed(store: Store) -> None:
    assert not store.any_keys()
    seen: list[bool] = []
    with store.transaction():
        store.add_key("sccr_r_abcd", HASH, "read", "the ERP")
        assert store.any_keys()
        elsewhere = threading.Thread(target=lambda: seen.append(store.any_keys()))
        elsewhere.start()
        elsewhere.join()
    assert (seen, store.any_keys()) == ([False], True)


def test_what_is_undone_was_never_there(store: Store) -> None:
    with pytest.raises(RuntimeError), store.transaction():
        store.add_key("sccr_r_abcd", HASH, "read", "the ERP")
        assert store.any_keys()
        raise RuntimeError
    assert not store.any_keys()


def test_after_it_was_closed_it_is_asked_anew(url: str, store: Store) -> None:
    assert not store.any_keys()
    for _ in range(3):
        store.close()
        with closing(open_store(url)) as other:
            other.apply_changes([Put({"part": "RYE", "kind": "motor", "poles": 1 + (number(other) or 0)})], "me")
            expected = number(other)
        assert number(store) == expected


def test_a_fork_sees_what_is_changed_after_it(store: Store) -> None:
    assert number(store) is None
    there, here = socket.socketpair()
    child = os.fork()
    if child == 0:
        try:
            here.close()
            before = number(store)
            there.sendall(b".")
            there.recv(1)
            os._exit(0 if (before, number(store)) == (None, 1) else 1)
        finally:
            os._exit(2)
    there.close()
    with here:
        assert here.recv(1) == b"."
        store.apply_changes([Put({"part": "RYE", "kind": "motor"})], "me")
        here.sendall(b".")
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def test_nothing_is_read_again_while_nothing_has_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In SQLite: PostgreSQL cannot be asked whether it has changed, and is read each time."""
    with fresh(None, tmp_path) as address, closing(open_store(address)) as store:
        before = (store.any_keys(), number(store))

        def fail(*_: object) -> None:
            raise AssertionError("it was read again")

        monkeypatch.setattr(Store, "_reading", fail)
        assert (store.any_keys(), number(store)) == before
