"""Keys: their form, and what is stored of them.

A key is `sccr_<letter of its role>_<32 of A-Z a-z 0-9>`: 190 random bits, shown once, when it is made. Stored are its
SHA-256 and its beginning, by which people know it again and by which it is looked up. A slow hash would add nothing,
since nobody can try 2^190 keys. What is secret of a key is never looked up: its hash is compared with that of each key
of the same beginning, in a time that does not depend on how much of it is right.
"""

import hashlib
import hmac
import re
import secrets
import string
from dataclasses import dataclass
from typing import Final

from .roles import Role
from .store import KeyStore
from .store import StoredKey

_ALPHABET: Final = string.ascii_letters + string.digits
_RANDOM_LETTERS: Final = 32
_SHOWN_LETTERS: Final = 4
_PREFIX_LETTERS: Final = len("sccr_x_") + _SHOWN_LETTERS
_FORM: Final = re.compile(r"sccr_[a-z]_[A-Za-z0-9]{32}")


@dataclass(frozen=True, slots=True)
class NewKey:
    """A key that was just made: its text, to show once and to forget, and what is to be stored of it."""

    text: str
    prefix: str
    hash: str
    role: Role


def new_key(role: Role) -> NewKey:
    """Return a new key of a role, from the random numbers of the system."""
    text = f"sccr_{role.letter}_" + "".join(secrets.choice(_ALPHABET) for _ in range(_RANDOM_LETTERS))
    return NewKey(text, text[:_PREFIX_LETTERS], hash_of(text), role)


def hash_of(text: str) -> str:
    """Return the SHA-256 of a key, in hexadecimal digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def find_key(store: KeyStore, text: str) -> StoredKey | None:
    """Return the key that a caller sent, None unless it is known and holds."""
    if not _FORM.fullmatch(text):
        return None
    sent = hash_of(text)
    found: StoredKey | None = None
    for stored, key in store.keys_beginning(text[:_PREFIX_LETTERS]):
        if hmac.compare_digest(stored, sent):  # and then the others all the same
            found = key
    return None if found is None or found.revoked_at is not None else found
