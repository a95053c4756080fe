"""The server: gunicorn, started from a program, listening to this machine only unless there are keys."""

import gc
import logging
import logging.config
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from contextlib import suppress
from dataclasses import replace
from typing import Any
from typing import Final

from flask import Flask
from gunicorn.app.base import BaseApplication

from sccr import rate
from sccr.editions import editions

from .access import is_this_machine
from .app import create_app
from .logs import CONFIGURATION
from .opening import open_own_store
from .operations import shared
from .service import Service
from .settings import Settings
from .store import Store
from .store import StoreError
from .work import beside
from .worker import Worker

_LOG: Final = logging.getLogger("sccr.service")

_SMALLEST: Final = {
    "format": "panel/1",
    "panel": {"designation": "-"},
    "supplies": [{"id": "S", "voltage": "480 V", "system": "ungrounded_delta"}],
    "components": [{"id": "F", "kind": "fuse", "fed_from": "S", "fuse_class": "J", "ampere_rating": "30 A"}],
}


class CannotServe(ValueError):
    """The service cannot listen where it was told to. The message says why and what to do."""


def serve(settings: Settings, store: Store | None = None) -> None:
    """Serve until the process is told to stop; SIGTERM lets the requests under way finish.

    Raises CannotServe where the address is not of this machine alone and there are no keys, or where it is taken; and
    what `create_app` raises.
    """
    store = store or open_own_store(settings)
    has_keys = store.any_keys()
    if not has_keys and not is_this_machine(settings.host):
        raise CannotServe(
            f"{settings.host!r} can be reached from other machines, and the service has no keys to tell callers apart: "
            "it refuses to listen elsewhere than on this machine. Make a key first, with `sccr keys create --role rate "
            "--name …` on the same database, or use 127.0.0.1."
        )
    with shared.shared_between_workers(), _held(settings) as held:
        # Made before the workers are forked: they share its memory, and what is wrong with it shows at once.
        app = create_app(settings, store)
        _read_ahead()
        server = _server(app, settings, held)
        if not has_keys:
            _warn_of_open_door()
        gc.freeze()  # what is here stays: workers need not look through it, which would copy what they share
        with _closed(store), beside(app, held):
            server.run()


@contextmanager
def _closed(store: Store) -> Iterator[None]:
    """Have nothing of the database left in a log beside its file when the service ends, where it has been told to.

    SQLite takes the log in when the last connection is closed, not when its process ends.
    """
    try:
        yield
    finally:
        with suppress(StoreError):
            store.check()
            store.close()


def run(app: Flask, settings: Settings) -> None:
    """Run an application that is another than the service on its server and workers, to be measured beside it."""
    app.extensions[Service.NAME] = Service(settings, open_own_store(settings))
    with shared.shared_between_workers(), _held(settings) as held:
        _server(app, settings, held).run()


def _server(app: Flask, settings: Settings, held: socket.socket) -> "_Server":
    return _Server(app, replace(settings, port=held.getsockname()[1]))


def _read_ahead() -> None:
    """Read here once what the first rating of each worker would: the rules, their tables, and what they rest on."""
    for rules in editions().values():
        rules.tables_digest()
    rate(_SMALLEST)


def _warn_of_open_door() -> None:
    logging.config.dictConfig(CONFIGURATION)  # the server does so itself, but only once it runs
    _LOG.warning("runs open: no key was ever made, so whoever is on this machine may do everything")


def _held(settings: Settings) -> socket.socket:
    """Return a socket that keeps the port for the workers while they come to listen on it.

    Each worker opens the port for itself (reuse_port), so that the kernel spreads connections over them. Then a second
    service on the same port would not fail but take half of the requests, and port 0 would be another port in each:
    hence a first bind that shares with nobody, and a second that shares with the workers but never listens.
    """
    try:
        with _bound(settings.host, settings.port, shared=False) as probe:
            port = probe.getsockname()[1]
        return _bound(settings.host, port, shared=True)
    except OSError as error:
        raise CannotServe(f"cannot listen on {settings.host}, port {settings.port}: {error.strerror}") from error


def _bound(host: str, port: int, *, shared: bool) -> socket.socket:
    bound = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM)
    try:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if shared:
            bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        bound.bind((host, port))
    except OSError:
        bound.close()
        raise
    return bound


class _Server(BaseApplication):  # type: ignore[misc]  # gunicorn has no types
    """gunicorn with the settings of the service in place of its command line."""

    def __init__(self, app: Flask, settings: Settings) -> None:
        self._app = app
        self._settings = settings
        super().__init__()

    def load_config(self) -> None:
        """Set what gunicorn is to do."""
        for name, value in self._configuration().items():
            if name in self.cfg.settings:  # the control socket came with version 27
                self.cfg.set(name, value)

    def load(self) -> Flask:
        """Return the application."""
        return self._app

    def _configuration(self) -> dict[str, Any]:
        settings = self._settings
        return {
            "bind": _address(settings),
            "worker_class": Worker,
            "workers": settings.workers,
            "threads": settings.threads,
            "reuse_port": True,
            "preload_app": True,
            "control_socket_disable": True,
            "graceful_timeout": settings.graceful_seconds,
            "loglevel": "warning",
            "logconfig_dict": CONFIGURATION,
            "proc_name": "sccr",
            "pre_fork": shared.before_fork,
            "post_fork": shared.after_fork,
            "child_exit": shared.after_exit,
            "post_worker_init": self._say_where,
        }

    def _say_where(self, worker: Any) -> None:
        """Print where the service is, once: when the first worker listens."""
        if worker.age == 1:
            print(f"http://{_address(self._settings)}", flush=True)  # noqa: T201


def _address(settings: Settings) -> str:
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return f"{host}:{settings.port}"
