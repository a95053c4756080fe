"""Messages to webhooks: each is sent until it is taken, or given up and listed."""

from dataclasses import dataclass
from dataclasses import replace
from typing import Any

from sqlalchemy import Row
from sqlalchemy import select

from . import tables
from .errors import NotFound
from .errors import WrongState
from .pages import Page
from .pages import page_of
from .times import stamp_after
from .webhooks import Webhooks

_DELIVERIES = tables.deliveries.c


@dataclass(frozen=True, slots=True)
class Delivery:
    """A message to one webhook. `event_id` stays the same over all attempts and targets; `payload` is sent as it is.

    state: "pending" until it is "delivered", or given up: "dead". next_at: not to be sent before; None once it ended.
    """

    id: str
    webhook_id: str
    event_id: str
    event: str
    payload: str
    state: str
    attempts: int
    created_at: str
    next_at: str | None
    last_status: int | None
    last_error: str | None


class Deliveries(Webhooks):
    """The part of the store that keeps the messages to webhooks."""

    def announce(self, event: str, payload: str) -> tuple[Delivery, ...]:
        """Keep a message for each webhook that wants the event; in one transaction with what it tells of."""
        with self._writing() as connection:
            event_id, now = self.new_id(), self._now()
            wanting = [hook.id for hook in self.webhooks() if hook.disabled_at is None and event in hook.events]
            first = Delivery("", "", event_id, event, payload, "pending", 0, now, now, None, None)
            made = [replace(first, id=self.new_id(), webhook_id=id) for id in wanting]
            if made:
                rows = [{name: getattr(each, name) for name in Delivery.__slots__} for each in made]
                connection.execute(tables.deliveries.insert(), rows)
        return tuple(made)

    def due_deliveries(self, limit: int = 10, lease_seconds: float = 60) -> tuple[Delivery, ...]:
        """Return messages that are to be sent now; until the lease is over nobody else is given them."""
        now, until = self._now(), stamp_after(self._clock(), lease_seconds)
        query = (
            select(tables.deliveries)
            .join(tables.webhooks)
            .where(_DELIVERIES.state == "pending", _DELIVERIES.next_at <= now)
            .where(tables.webhooks.c.disabled_at.is_(None))
            .order_by(_DELIVERIES.next_at, _DELIVERIES.id)
            .limit(limit)
            .with_for_update(of=tables.deliveries, skip_locked=True)
        )
        with self._writing() as connection:
            due = [_delivery(row) for row in connection.execute(query)]
            if due:
                held = tables.deliveries.update().where(_DELIVERIES.id.in_([each.id for each in due]))
                connection.execute(held.values(next_at=until))
        return tuple(replace(each, next_at=until) for each in due)

    def delivered(self, id: str, status: int) -> None:
        """Note that a message was taken."""
        self._attempted(id, {"state": "delivered", "last_status": status, "last_error": None, "next_at": None})

    def failed(self, id: str, status: int | None, error: str, next_at: str | None) -> Delivery:
        """Note that a message was not taken: it is sent again at `next_at`, or given up where that is None."""
        state = "dead" if next_at is None else "pending"
        return self._attempted(id, {"state": state, "last_status": status, "last_error": error, "next_at": next_at})

    def delivery(self, id: str) -> Delivery | None:
        """Return a message, or nothing."""
        with self._reading() as connection:
            row = connection.execute(select(tables.deliveries).where(_DELIVERIES.id == id)).one_or_none()
        return None if row is None else _delivery(row)

    def deliveries(
        self, after: str | None = None, limit: int = 50, *, state: str | None = None, webhook_id: str | None = None
    ) -> Page[Delivery]:
        """Return the messages before that one, the newest first: all, or those in a state or to a webhook."""
        query = select(tables.deliveries).order_by(_DELIVERIES.id.desc()).limit(limit + 1)
        if after is not None:
            query = query.where(_DELIVERIES.id < after)
        for column, value in ((_DELIVERIES.state, state), (_DELIVERIES.webhook_id, webhook_id)):
            if value is not None:
                query = query.where(column == value)
        with self._reading() as connection:
            found = [_delivery(row) for row in connection.execute(query)]
        return page_of(found, limit, lambda delivery: delivery.id)

    def retry(self, id: str) -> Delivery:
        """Have a message that was given up sent again, beginning now. Raises NotFound, WrongState."""
        dead = (_DELIVERIES.id == id, _DELIVERIES.state == "dead")
        again = {"state": "pending", "next_at": self._now()}
        with self._writing() as connection:
            changed = connection.execute(tables.deliveries.update().where(*dead).values(**again)).rowcount
            found = self.delivery(id)
        if found is None:
            raise NotFound(f"there is no delivery {id!r}")
        if not changed:
            raise WrongState(f"the delivery is {found.state}, not dead")
        return found

    def _attempted(self, id: str, outcome: dict[str, Any]) -> Delivery:
        """Count an attempt at a message that is pending; one that ended meanwhile stays as it is. Raises NotFound."""
        pending = (_DELIVERIES.id == id, _DELIVERIES.state == "pending")
        counted = tables.deliveries.update().where(*pending).values(attempts=_DELIVERIES.attempts + 1, **outcome)
        with self._writing() as connection:
            connection.execute(counted)
            found = self.delivery(id)
        if found is None:
            raise NotFound(f"there is no delivery {id!r}")
        return found


def _delivery(row: Row[Any]) -> Delivery:
    return Delivery(**row._mapping)
