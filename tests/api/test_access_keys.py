"""Keys: what they look like, and what is stored of them."""

import hashlib
import re

import pytest

from api.access import Role
from api.access import hash_of
from api.access import keys as keys_module
from api.access import new_key
from api.access.keys import find_key
from api.store import Store

LETTERS = {Role.READ: "r", Role.RATE: "t", Role.CATALOGUE: "c", Role.ADMIN: "a"}


@pytest.mark.parametrize("role", Role)
def test_a_key_shows_its_role_and_is_otherwise_random(role: Role) -> None:
    key = new_key(role)
    assert re.fullmatch(rf"sccr_{LETTERS[role]}_[A-Za-z0-9]{{32}}", key.text)
    assert key.role is role
    assert len({new_key(role).text for _ in range(100)}) == 100


def test_what_is_stored_does_not_give_the_key_away() -> None:
    key = new_key(Role.ADMIN)
    assert key.hash == hashlib.sha256(key.text.encode()).hexdigest() == hash_of(key.text)
    assert key.text.startswith(key.prefix)
    assert len(key.text) - len(key.prefix) == 28  # 28 letters of 62: still 166 bits


def test_every_letter_occurs() -> None:
    """A generator that was cut short would give keys that can be guessed."""
    seen = set("".join(new_key(Role.READ).text[7:] for _ in range(200)))
    assert len(seen) == 62


def test_of_keys_that_begin_alike_the_one_that_was_sent_is_found(desk: Store) -> None:
    made = new_key(Role.RATE)
    others = [made.prefix + letter * 28 for letter in "aZ0"]
    stored = {text: desk.add_key(made.prefix, hash_of(text), "rate", text[-1]) for text in (*others, made.text)}
    for text, key in stored.items():
        assert find_key(desk, text) == key
    assert find_key(desk, made.prefix + "b" * 28) is None
    desk.revoke_key(stored[made.text].id)
    assert find_key(desk, made.text) is None


def test_hashes_are_compared_to_the_end_and_all_of_them(desk: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither how much of a guess is right nor which key it is changes what is compared."""
    made = new_key(Role.READ)
    for letter in "aZ":
        desk.add_key(made.prefix, hash_of(made.prefix + letter * 28), "read", letter)
    desk.add_key(made.prefix, made.hash, "read", "the one")
    desk.add_key(made.prefix, hash_of(made.prefix + "0" * 28), "read", "0")
    compared = []
    real = keys_module.hmac.compare_digest

    def compare(one: str, other: str) -> bool:
        compared.append((one, other))
        return real(one, other)

    monkeypatch.setattr(keys_module.hmac, "compare_digest", compare)
    for text in (made.text, made.prefix + "x" * 28):
        compared.clear()
        find_key(desk, text)
        assert [other for _, other in compared] == [hash_of(text)] * 4


@pytest.mark.parametrize("end", ["", "a" * 31, "a" * 33, "a" * 31 + "é", "a" * 31 + "\n", "a" * 32 + "\n"])
def test_what_has_not_the_form_of_a_key_is_not_looked_up(end: str) -> None:
    class NoStore:
        def keys_beginning(self, prefix: str) -> None:
            raise AssertionError(prefix)

    assert find_key(NoStore(), "sccr_r_" + end) is None  # type: ignore[arg-type]
