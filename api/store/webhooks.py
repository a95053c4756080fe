"""Whom to tell of what: the webhooks."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row
from sqlalchemy import select

from . import tables
from .database import Database
from .errors import NotFound

_WEBHOOKS = tables.webhooks.c


@dataclass(frozen=True, slots=True)
class Webhook:
    """A target, the secret that its messages are signed with, and the events that it wants."""

    id: str
    url: str
    secret: str
    events: tuple[str, ...]
    created_at: str
    created_by: str
    disabled_at: str | None


class Webhooks(Database):
    """The part of the store that knows the webhooks. A secret is kept as it is, since messages are signed with it."""

    def add_webhook(self, url: str, secret: str, events: Iterable[str], by: str) -> Webhook:
        """Keep a target, and return it."""
        new = Webhook(self.new_id(), url, secret, tuple(events), self._now(), by, None)
        own = {name: getattr(new, name) for name in Webhook.__slots__}
        with self._writing() as connection:
            connection.execute(tables.webhooks.insert(), {**own, "events": json.dumps(new.events)})
        return new

    def webhook(self, id: str) -> Webhook | None:
        """Return a webhook, or nothing."""
        with self._reading() as connection:
            row = connection.execute(select(tables.webhooks).where(_WEBHOOKS.id == id)).one_or_none()
        return None if row is None else _webhook(row)

    def webhooks(self) -> tuple[Webhook, ...]:
        """Return all webhooks, the oldest first."""
        with self._reading() as connection:
            return tuple(_webhook(row) for row in connection.execute(select(tables.webhooks).order_by(_WEBHOOKS.id)))

    def disable_webhook(self, id: str) -> Webhook:
        """Have a target told nothing more, and return it. Raises NotFound."""
        live = (_WEBHOOKS.id == id, _WEBHOOKS.disabled_at.is_(None))
        with self._writing() as connection:
            connection.execute(tables.webhooks.update().where(*live).values(disabled_at=self._now()))
            found = self.webhook(id)
        if found is None:
            raise NotFound(f"there is no webhook {id!r}")
        return found


def _webhook(row: Row[Any]) -> Webhook:
    own = dict(row._mapping)
    return Webhook(**{**own, "events": tuple(json.loads(own["events"]))})
