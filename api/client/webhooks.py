"""Webhooks, and the messages to them."""

from collections.abc import Iterator
from collections.abc import Sequence
from http import HTTPStatus
from typing import cast

from .answers import Delivery
from .answers import NewWebhook
from .answers import Webhook
from .errors import Problem
from .transport import Transport
from .transport import step


class Webhooks(Transport):
    """The part of the client that sets webhooks; all of it needs a key of an admin."""

    def create_webhook(self, url: str, events: Sequence[str]) -> NewWebhook:
        """Register a webhook; its secret is in the answer, and never told again."""
        return cast(NewWebhook, self._json("POST", "/v1/webhooks", document={"url": url, "events": list(events)}))

    def webhooks(self) -> list[Webhook]:
        """Return the webhooks, the oldest first."""
        return cast(list[Webhook], self._json("GET", "/v1/webhooks")["webhooks"])

    def webhook(self, id: str) -> Webhook:
        """Return a webhook."""
        return cast(Webhook, self._json("GET", f"/v1/webhooks/{step(id)}"))

    def delete_webhook(self, id: str) -> None:
        """Have a webhook told nothing more."""
        try:
            self._send("DELETE", f"/v1/webhooks/{step(id)}")
        except Problem as problem:
            if problem.status != HTTPStatus.NOT_FOUND or problem.attempts == 1:
                raise  # else an attempt before has deleted it, and its answer was lost

    def deliveries(self, *, state: str | None = None, webhook: str | None = None) -> Iterator[Delivery]:
        """Yield the messages, the newest first: all, those to a webhook, or those in a state ("dead": given up)."""
        return self._every("/v1/deliveries", "deliveries", {"state": state, "webhook": webhook})

    def delivery(self, id: str) -> Delivery:
        """Return a message: what it says, how often it was sent, and what was answered."""
        return cast(Delivery, self._json("GET", f"/v1/deliveries/{step(id)}"))

    def retry_delivery(self, id: str) -> Delivery:
        """Have a message that was given up sent again."""
        return cast(Delivery, self._json("POST", f"/v1/deliveries/{step(id)}/retry"))
