"""The server: gunicorn, started from a program, listening to this machine only."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from ipaddress import ip_address
from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication

from . import create_app
from .logs import CONFIGURATION
from .settings import Settings


class CannotServe(Exception):
    """The service cannot listen where it was told to. The message says why and what to do."""


def serve(settings: Settings) -> None:
    """Serve until the process is told to stop; SIGTERM lets the requests under way finish.

    Raises CannotServe where the address is not of this machine alone or is taken, and what `create_app` raises.
    """
    _require_loopback(settings.host)
    with _reserved(settings) as port:
        _Server(replace(settings, port=port)).run()


def _require_loopback(host: str) -> None:
    try:
        local = host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        local = False
    if not local:
        raise CannotServe(
            f"{host!r} can be reached from other machines, and the service has no keys to tell callers apart: it "
            "refuses to listen elsewhere than on this machine. Use 127.0.0.1, and a proxy that checks who is calling."
        )


@contextmanager
def _reserved(settings: Settings) -> Iterator[int]:
    """Hold the port [number] while the workers come to listen on it.

    Each worker opens the port for itself (reuse_port), so that the kernel spreads connections over them. Then a second
    service on the same port would not fail but take half of the requests, and port 0 would be another port in each.
    """
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    try:
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((settings.host, settings.port))
            port = probe.getsockname()[1]
        with socket.socket(family, socket.SOCK_STREAM) as holder:
            holder.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            holder.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
            holder.bind((settings.host, port))
            yield port
    except OSError as error:
        raise CannotServe(f"cannot listen on {settings.host}, port {settings.port}: {error.strerror}") from error


class _Server(BaseApplication):  # type: ignore[misc]  # gunicorn has no types
    """gunicorn with the settings of the service in place of its command line."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        # Made before the workers are forked: they share its memory, and what is wrong with it shows at once.
        self._app = create_app(settings)
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
            "worker_class": "gthread",
            "workers": settings.workers,
            "threads": settings.threads,
            "reuse_port": True,
            "preload_app": True,
            "control_socket_disable": True,
            "graceful_timeout": settings.graceful_seconds,
            "loglevel": "warning",
            "logconfig_dict": CONFIGURATION,
            "proc_name": "sccr",
            "post_worker_init": self._say_where,
        }

    def _say_where(self, worker: Any) -> None:
        """Print where the service is, once: when the first worker listens."""
        if worker.age == 1:
            print(f"http://{_address(self._settings)}", flush=True)  # noqa: T201


def _address(settings: Settings) -> str:
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return f"{host}:{settings.port}"
