"""The keys of callers. Of a key itself only the hash is kept."""

from dataclasses import dataclass
from typing import Any
from typing import Final

from sqlalchemy import Row
from sqlalchemy import or_
from sqlalchemy import select

from . import tables
from .database import Database
from .errors import NotFound
from .times import stamp_after

#: How exact `last_used_at` is [s]: a write for every request would cost more than the request.
_USED_WITHIN: Final = 60

_KEYS: Final = tables.keys.c


@dataclass(frozen=True, slots=True)
class Key:
    """A key: `prefix` is the beginning that its owner knows it by. `last_used_at` is exact to a minute."""

    id: str
    prefix: str
    role: str
    name: str
    created_at: str
    revoked_at: str | None
    last_used_at: str | None


class Keys(Database):
    """The part of the store that knows the keys."""

    def add_key(self, prefix: str, hash: str, role: str, name: str) -> Key:
        """Keep a key by its hash, and return it."""
        key = Key(self.new_id(), prefix, role, name, self._now(), None, None)
        own = {name: getattr(key, name) for name in Key.__slots__}
        with self._writing() as connection:
            connection.execute(tables.keys.insert(), {**own, "hash": hash})
        return key

    def keys_beginning(self, prefix: str) -> tuple[tuple[str, Key], ...]:
        """Return each key of that beginning behind its hash, even if it is revoked: look at `revoked_at`.

        Nearly always it is one or none. The hash is for a comparison that takes the same time however it ends.
        """
        with self._reading() as connection:
            rows = connection.execute(select(tables.keys).where(_KEYS.prefix == prefix).order_by(_KEYS.id))
            return tuple((row.hash, _key(row)) for row in rows)

    def touch(self, id: str) -> None:
        """Note that a key was used, unless that was noted within the last minute."""
        recently = stamp_after(self._clock(), -_USED_WITHIN)
        stale = or_(_KEYS.last_used_at.is_(None), _KEYS.last_used_at <= recently)
        with self._reading() as connection:
            if connection.execute(select(_KEYS.id).where(_KEYS.id == id, stale)).one_or_none() is None:
                return
        with self._writing() as connection:
            connection.execute(tables.keys.update().where(_KEYS.id == id, stale).values(last_used_at=self._now()))

    def any_keys(self) -> bool:
        """Whether a key was ever made: to revoke the last one must not open the service to everybody."""
        return self._kept("any keys", self._any_keys)

    def _any_keys(self) -> bool:
        with self._reading() as connection:
            return connection.execute(select(_KEYS.id).limit(1)).one_or_none() is not None

    def keys(self) -> tuple[Key, ...]:
        """Return all keys, the oldest first."""
        with self._reading() as connection:
            return tuple(_key(row) for row in connection.execute(select(tables.keys).order_by(_KEYS.id)))

    def key(self, id: str) -> Key | None:
        """Return a key, or nothing."""
        with self._reading() as connection:
            row = connection.execute(select(tables.keys).where(_KEYS.id == id)).one_or_none()
        return None if row is None else _key(row)

    def revoke_key(self, id: str) -> Key:
        """End a key, and return it; one that has ended stays as it is. Raises NotFound."""
        live = (_KEYS.id == id, _KEYS.revoked_at.is_(None))
        with self._writing() as connection:
            connection.execute(tables.keys.update().where(*live).values(revoked_at=self._now()))
            row = connection.execute(select(tables.keys).where(_KEYS.id == id)).one_or_none()
        if row is None:
            raise NotFound(f"there is no key {id!r}")
        return _key(row)


def _key(row: Row[Any]) -> Key:
    return Key(**{name: row._mapping[name] for name in Key.__slots__})
