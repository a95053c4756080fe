"""Messages that are due: sent, and sent again after a while that doubles and doubles, until they are given up."""

import http.client
import logging
import random
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Final

from .service import service
from .settings import Settings
from .store import Delivery
from .store import Store
from .store import Webhook
from .store import utc_now
from .store.times import stamp
from .webhook_posting import post
from .webhook_signing import signed
from .webhook_targets import AllowList
from .webhook_targets import NotAllowed

_LOG: Final = logging.getLogger("sccr.service")
#: Messages that are under way at once.
_AT_ONCE: Final = 8
#: The pauses grow by this factor, and each differs by up to this part of it: receivers that were down are not all
#: asked at the same moment.
_FACTOR: Final = 4.0
_JITTER: Final = 0.25
_GONE: Final = 410
_LONGEST_ERROR: Final = 500


def send_some() -> bool:
    """Send the messages that are due, some at once, and return whether there were any; within the context."""
    store, settings = service().store, service().settings
    # The lease is longer than sending can take, so that nobody else sends the same message meanwhile.
    due = store.due_deliveries(_AT_ONCE, 2 * settings.webhook_seconds + 30)
    if not due:
        return False
    with ThreadPoolExecutor(len(due), "sccr-webhook") as senders:
        list(senders.map(lambda delivery: _send(store, settings, delivery), due))
    return True


def next_pause(attempts: int, first: float) -> float:
    """Return after how many seconds a message is sent again that was sent so often in vain."""
    return first * _FACTOR ** (attempts - 1) * random.uniform(1 - _JITTER, 1 + _JITTER)


def _send(store: Store, settings: Settings, delivery: Delivery) -> None:
    hook = store.webhook(delivery.webhook_id)
    assert hook is not None  # the database refers from one to the other
    status: int | None = None
    try:
        status = _posted(settings, hook, delivery)
        error = None if 200 <= status < 300 else f"answered with {status}"
    except NotAllowed as refused:
        error = f"not sent: the target {refused}"
    except (OSError, http.client.HTTPException) as failure:
        error = f"not delivered: {failure or type(failure).__name__}"
    if error is None:
        store.delivered(delivery.id, status or 200)
        return
    if status == _GONE:  # Standard Webhooks: the receiver wants no more
        store.disable_webhook(hook.id)
    _note_failure(store, settings, delivery, status, error)


def _posted(settings: Settings, hook: Webhook, delivery: Delivery) -> int:
    allowed = AllowList(settings.webhook_targets)
    target = allowed.target(hook.url)
    body = delivery.payload.encode()
    headers = signed(hook.secret, delivery.event_id, int(time.time()), body)
    return post(target, allowed.addresses(target), headers, body, settings.webhook_seconds)


def _note_failure(store: Store, settings: Settings, delivery: Delivery, status: int | None, error: str) -> None:
    attempts = delivery.attempts + 1
    again = None
    if attempts < settings.webhook_attempts and status != _GONE:
        pause = next_pause(attempts, settings.webhook_retry_seconds)
        again = stamp(utc_now() + timedelta(seconds=pause))
    store.failed(delivery.id, status, error[:_LONGEST_ERROR], again)
    told = {"delivery": delivery.id, "webhook": delivery.webhook_id, "attempts": attempts, "reason": error}
    _LOG.warning("webhook not delivered", extra={"fields": {**told, "next_at": again}})
