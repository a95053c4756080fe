"""Keys, and the log of what was done."""

from hashlib import sha256

import pytest

from api.store import NotFound
from api.store import Store

from .conftest import SetClock

HASH = sha256(b"sccr_r_secret").hexdigest()


def test_a_key_is_found_by_its_beginning_and_only_by_it(store: Store) -> None:
    key = store.add_key("sccr_r_ab", HASH, "rate", "label maker")
    assert (key.prefix, key.role, key.name) == ("sccr_r_ab", "rate", "label maker")
    assert (key.created_at, key.revoked_at, key.last_used_at) == ("2026-01-31T12:00:00.000000Z", None, None)
    assert store.keys_beginning("sccr_r_ab") == ((HASH, key),)
    assert store.key(key.id) == key
    for other in ("sccr_r_a", "sccr_r_abc", "sccr_r_%", "SCCR_R_AB", "%", ""):
        assert store.keys_beginning(other) == ()
    assert store.key("none") is None
    assert HASH not in repr(key)


def test_keys_that_begin_alike_are_all_found_the_oldest_first(store: Store) -> None:
    hashes = [sha256(bytes([number])).hexdigest() for number in range(3)]
    keys = [store.add_key("sccr_r_ab", hash, "rate", "alike") for hash in hashes]
    assert store.keys_beginning("sccr_r_ab") == tuple(zip(hashes, keys, strict=True))


def test_a_revoked_key_is_there_and_says_so(store: Store, clock: SetClock) -> None:
    key = store.add_key("sccr_r_ab", HASH, "rate", "label maker")
    clock.move(60)
    revoked = store.revoke_key(key.id)
    assert revoked.revoked_at == "2026-01-31T12:01:00.000000Z"
    clock.move(60)
    assert store.revoke_key(key.id) == revoked
    assert store.keys_beginning("sccr_r_ab") == ((HASH, revoked),)
    with pytest.raises(NotFound):
        store.revoke_key("none")


def test_the_last_key_revoked_does_not_open_the_service(store: Store) -> None:
    assert not store.any_keys()
    key = store.add_key("sccr_r_ab", HASH, "rate", "label maker")
    assert store.any_keys()
    store.revoke_key(key.id)
    assert store.any_keys()


def test_a_use_is_noted_once_a_minute(store: Store, clock: SetClock) -> None:
    key = store.add_key("sccr_r_ab", HASH, "rate", "label maker")
    other = store.add_key("sccr_r_cd", "0", "read", "inspector")
    used = []
    for seconds in (0, 59, 1, 30):
        clock.move(seconds)
        store.touch(key.id)
        found = store.key(key.id)
        assert found is not None
        assert found.last_used_at is not None
        used.append(found.last_used_at[14:19])
    assert used == ["00:00", "00:00", "01:00", "01:00"]
    store.touch("none")
    assert store.keys() == (found, other)


def test_what_was_done_is_listed_newest_first(store: Store, clock: SetClock) -> None:
    entries = []
    for number in range(5):
        by = {"key_id": "K"} if number % 2 else {}
        detail = {"number": number, "é": ["🌾", None, 1.5]}
        entries.append(store.write_audit(f"action.{number % 3}", "A-1", detail, request_id="r", **by))
        clock.move(1)
    assert entries[0].at == "2026-01-31T12:00:00.000000Z"
    page = store.audit(limit=3)
    assert page.items == tuple(entries[:1:-1])
    assert store.audit(page.next).items == tuple(entries[1::-1])
    assert [entry.detail["number"] for entry in store.audit(action="action.0").items] == [3, 0]
    assert [entry.detail["number"] for entry in store.audit(key_id="K").items] == [3, 1]
