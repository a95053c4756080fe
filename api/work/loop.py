"""The loop of a process that works: lines of batches in one thread, webhooks in another."""

import logging
import os
import secrets
import threading
import time
from collections.abc import Callable
from typing import Final

from flask import Flask

from ..service import Service
from ..store import StoreError
from ..webhook_sending import send_some
from .rating_batches import BatchWork
from .reviewing import Review
from .tidying import tidy

_LOG: Final = logging.getLogger("sccr.service")
#: How long nothing is looked for after nothing was found [s], and after a failure.
_PAUSE: Final = 0.25
_AFTER_FAILURE: Final = 2.0
_TIDY_EVERY: Final = 600.0

#: Does some of what there is to do, and returns whether there was any.
Step = Callable[[], bool]


def work(app: Flask, stop: threading.Event) -> None:
    """Work until it is told to stop, or the process that started it is gone; what is begun is finished."""
    parent = os.getppid()
    telling = threading.Thread(target=_repeat, args=(app, stop, _telling()), name="sccr-webhooks", daemon=True)
    telling.start()
    rate_some = BatchWork(f"{os.getpid()}-{secrets.token_hex(8)}").do_some

    def step() -> bool:
        if os.getppid() != parent:
            stop.set()
            return False
        return rate_some()

    _repeat(app, stop, step)
    settings = app.extensions[Service.NAME].settings
    telling.join(settings.webhook_seconds + _PAUSE)


def _telling() -> Step:
    tidied = -_TIDY_EVERY
    review = Review()

    def step() -> bool:
        nonlocal tidied
        if time.monotonic() - tidied > _TIDY_EVERY:
            tidy()
            tidied = time.monotonic()
        sent = send_some()
        return review.do_some() or sent

    return step


def _repeat(app: Flask, stop: threading.Event, step: Step) -> None:
    while not stop.is_set():
        try:
            with app.app_context():
                found = step()
        except StoreError as error:
            _LOG.error("work waits for the store", exc_info=error)
            stop.wait(_AFTER_FAILURE)
        except Exception as error:
            _LOG.error("work failed", exc_info=error)
            stop.wait(_AFTER_FAILURE)
        else:
            if not found:
                stop.wait(_PAUSE)
