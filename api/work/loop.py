"""The loop of a process that works: lines of batches in one thread, webhooks in another."""

import logging
import os
import secrets
import threading
import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from typing import Final

from flask import Flask

from ..service import Service
from ..store import StoreError
from ..webhook_sending import send_some
from .on_cluster import OnCluster
from .rating_batches import BatchWork
from .reviewing import Review
from .tidying import tidy

_LOG: Final = logging.getLogger("sccr.service")
#: How long nothing is looked for after nothing was found [s], and after a failure.
_PAUSE: Final = 0.25
_AFTER_FAILURE: Final = 2.0
_TIDY_EVERY: Final = 600.0
#: So many threads of a process hand out lines to a cluster and take them in.
_HAND_OUT: Final = 4

#: Does some of what there is to do, and returns whether there was any.
Step = Callable[[], bool]


def work(app: Flask, stop: threading.Event) -> None:
    """Work until it is told to stop, or the process that started it is gone; what is begun is finished."""
    parent = os.getppid()
    settings = app.extensions[Service.NAME].settings
    telling = _thread("sccr-webhooks", app, stop, _telling())
    rating = _here() if settings.cluster is None else _on_cluster(settings.cluster)
    with rating as (rate_some, *others):
        beside = [_thread("sccr-batches", app, stop, each) for each in others]

        def step() -> bool:
            if os.getppid() != parent:
                stop.set()
                return False
            return rate_some()

        _repeat(app, stop, step)
        for each in beside:
            each.join(settings.lease_seconds)
    telling.join(settings.webhook_seconds + _PAUSE)


@contextmanager
def _here() -> Iterator[tuple[Step, ...]]:
    """Yield what rates the lines of batches in this process."""
    yield (BatchWork(_name()).do_some,)


@contextmanager
def _on_cluster(address: str) -> Iterator[tuple[Step, ...]]:
    """Yield what has a cluster rate the lines of batches, for several threads: it need not wait for the store then."""
    cluster = OnCluster(address)
    try:
        yield tuple(partial(cluster.do_some, BatchWork(_name())) for _ in range(_HAND_OUT))
    finally:
        cluster.close()


def _name() -> str:
    return f"{os.getpid()}-{secrets.token_hex(8)}"


def _thread(name: str, app: Flask, stop: threading.Event, step: Step) -> threading.Thread:
    thread = threading.Thread(target=_repeat, args=(app, stop, step), name=name, daemon=True)
    thread.start()
    return thread


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
