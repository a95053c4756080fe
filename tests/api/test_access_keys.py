"""Keys: what they look like, and what is stored of them."""

import hashlib
import re

import pytest

from api.access import Role
from api.access import hash_of
from api.access import new_key

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
