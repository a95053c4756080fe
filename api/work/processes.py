"""Processes that work beside the server: one that watches over them, and as many as the settings say.

The watcher is no child of the server, whose children are its workers, all of them. The two know of each other by two
pipes that nobody writes to: each end is closed when the last process that holds it is gone, however that ended.
"""

import logging.config
import os
import select
import signal
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Final
from typing import NoReturn

from flask import Flask

from ..logs import CONFIGURATION
from ..logs import take_stray_exceptions
from ..operations import shared
from ..service import Service
from .loop import work

_LOOK: Final = 0.5
_BEFORE_ANOTHER: Final = 1.0
_STOPS: Final = (signal.SIGTERM, signal.SIGINT)

_held: set[int] = set()


@contextmanager
def beside(app: Flask, listening: socket.socket) -> Iterator[None]:
    """Have the work of an application done by processes of its own, as long as this process lives and the block runs.

    They do not keep the socket that is given: a server that is started anew must find the port free.
    """
    count = app.extensions[Service.NAME].settings.work_processes
    if not count:
        yield
        return
    owner = os.getpid()
    alive_read, alive_write = os.pipe()
    gone_read, gone_write = os.pipe()
    between = os.fork()
    if between == 0:
        listening.close()
        _become_watcher(app, count, alive_read, (alive_write, gone_read))
    os.waitpid(between, 0)
    os.close(alive_read)
    os.close(gone_write)
    _held.add(alive_write)
    try:
        yield
    finally:
        if os.getpid() == owner:  # a worker that ends comes by here, too
            _held.discard(alive_write)
            os.close(alive_write)
            select.select([gone_read], [], [], app.extensions[Service.NAME].settings.graceful_seconds)
            os.close(gone_read)


def alone(app: Flask, count: int) -> None:
    """Have the work of an application done by processes of this one, until it is told to stop; it watches over them."""
    logging.config.dictConfig(CONFIGURATION)
    alive_read, alive_write = os.pipe()
    _held.add(alive_write)
    try:
        _Watcher(app, count, alive_read).run()
    finally:
        _held.discard(alive_write)
        os.close(alive_write)
        os.close(alive_read)


def _let_go() -> None:
    """Close, in a process that was forked, what says that the server is alive: only the server itself says so."""
    while _held:
        os.close(_held.pop())


os.register_at_fork(after_in_child=_let_go)


def _become_watcher(app: Flask, count: int, alive: int, ends: tuple[int, ...]) -> NoReturn:
    """Go on as a process of which the server is not the parent."""
    try:
        for end in ends:
            os.close(end)
        if os.fork() == 0:
            logging.config.dictConfig(CONFIGURATION)
            _Watcher(app, count, alive).run()
    finally:
        os._exit(0)


class _Watcher:
    """Starts the processes that work, and others in the place of those that die."""

    def __init__(self, app: Flask, count: int, alive: int) -> None:
        self._app = app
        self._alive = alive
        self._at_work: dict[int, str] = {}
        self._places = [f"work-{number}" for number in range(count)]
        self._graceful: float = app.extensions[Service.NAME].settings.graceful_seconds
        self._stopped = False

    def run(self) -> None:
        """Watch until the server is gone or this process is told to stop."""
        for number in _STOPS:
            signal.signal(number, self._stop)
        while not self._stopped:
            self._start_missing()
            ready, _, _ = select.select([self._alive], [], [], _LOOK)
            if ready:
                break
            if self._reap():
                time.sleep(_BEFORE_ANOTHER)
        self._end_all()

    def _stop(self, *_: object) -> None:
        self._stopped = True

    def _start_missing(self) -> None:
        for place in self._places:
            if place not in self._at_work.values():
                pid = os.fork()
                if pid == 0:
                    _be_worker(self._app, place)
                self._at_work[pid] = place

    def _reap(self) -> bool:
        """Forget those that have ended, and return whether there were any."""
        before = len(self._at_work)
        for pid in list(self._at_work):
            if os.waitpid(pid, os.WNOHANG)[0]:
                del self._at_work[pid]
        return len(self._at_work) < before

    def _end_all(self) -> None:
        for number, seconds in ((signal.SIGTERM, self._graceful), (signal.SIGKILL, 5.0)):
            self._reap()
            for pid in self._at_work:
                os.kill(pid, number)
            ends = time.monotonic() + seconds
            while self._at_work and time.monotonic() < ends:
                time.sleep(0.02)
                self._reap()


def _be_worker(app: Flask, place: str) -> NoReturn:
    try:
        stop = threading.Event()
        for number in _STOPS:
            signal.signal(number, lambda *_: stop.set())
        take_stray_exceptions()
        shared.after_fork(None, SimpleNamespace(place=place))
        work(app, stop)
    finally:
        os._exit(0)
