"""What the service takes on: so many requests at once, and none that has waited for too long."""

import threading
from contextvars import ContextVar
from dataclasses import dataclass
from dataclasses import field
from typing import ClassVar
from typing import Final

from flask import Flask
from flask import current_app
from flask import g
from flask import request

from ..refusals import Refusal

#: How long the request of this thread has waited for the thread [s]; the worker of the server notes it.
waited: Final[ContextVar[float]] = ContextVar("waited", default=0.0)

_RETRY_SECONDS: Final = 2
#: What is answered whatever the load: whoever watches the service must not take it for dead because it is busy.
_ALWAYS: Final = frozenset({"health", "metrics"})


@dataclass(slots=True)
class Load:
    """How many requests this process is at work on, and how many it takes (None: as many as it has threads)."""

    NAME: ClassVar[str] = "sccr.load"

    most_at_once: int | None
    longest_wait: float
    under_way: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def enter(self) -> bool:
        """Count a request in, unless there are as many as are taken."""
        with self.lock:
            if self.most_at_once is not None and self.under_way >= self.most_at_once:
                return False
            self.under_way += 1
            return True

    def leave(self) -> None:
        """Count a request out."""
        with self.lock:
            self.under_way -= 1


def limit_load(app: Flask, most_at_once: int | None, longest_wait: float) -> None:
    """Refuse (503, busy) what is more than the application takes on."""
    app.extensions[Load.NAME] = Load(most_at_once, longest_wait)
    app.before_request(_enter)
    app.teardown_request(_leave)


def _enter() -> None:
    if request.blueprint in _ALWAYS:
        return
    load = _load()
    if waited.get() > load.longest_wait:
        raise _busy(f"The request has waited for {waited.get():.0f} s, and whoever sent it may have given up.")
    if not load.enter():
        raise _busy(f"The service is at work on {load.most_at_once} requests, and takes on no more.")
    g.counted = True


def _leave(_: BaseException | None) -> None:
    if g.pop("counted", False):
        _load().leave()


def _load() -> Load:
    found = current_app.extensions[Load.NAME]
    assert isinstance(found, Load)
    return found


def _busy(detail: str) -> Refusal:
    return Refusal("busy", detail, {"Retry-After": str(_RETRY_SECONDS)})
