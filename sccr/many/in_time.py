"""A limit of time for work that computes: what takes longer is stopped where it stands.

CPython raises an exception in a thread at the next of its instructions when it is told to (PyThreadState_SetAsyncExc).
That can be anywhere, so that only work without lasting effects may be run in time: a rating computed from a document
and from parts that were read before, never a transaction.

Work and watch hold a run in turns, and who holds it is told by one indivisible step, `dict.setdefault`. The watch
strikes while it holds the run; once the work holds it, for good, it is struck no more. A stroke that falls into a
finaliser, where Python ignores it, is repeated; that is common, since one that comes while garbage is collected falls
into the first finaliser there is.
"""

import ctypes
import threading
import time
from collections.abc import Callable
from typing import Final
from typing import TypeVar

from sccr.errors import OutOfTime

Result = TypeVar("Result")

#: How often the watch looks [s]; by so much a run may overstay.
_LOOK: Final = 0.05
#: After how long it strikes again what has not ended [s].
_AGAIN: Final = 0.1


class _Stopped(BaseException):
    """The time of a run is up. No `except Exception` of the work takes it for a fault of its own."""


class _Run:
    def __init__(self, seconds: float) -> None:
        self.thread = threading.get_ident()
        self.ends = time.monotonic() + seconds
        self.held: dict[str, str] = {}


_runs: Final[dict[_Run, None]] = {}
_watch: threading.Thread | None = None


def in_time(seconds: float, work: Callable[[], Result]) -> Result:
    """Return what some work returns.

    Raises OutOfTime where it takes longer than `seconds`, and whatever the work raises.
    """
    _keep_watch()
    run = _Run(seconds)
    try:
        try:
            _runs[run] = None
            return work()
        finally:
            _end(run)
    except _Stopped:
        _end_struck(run)
        raise OutOfTime(seconds) from None


def _end(run: _Run) -> None:
    """Take a run from the watch for good. A stroke that was under way comes here, and hits nothing later."""
    while run.held.setdefault("by", "work") != "work":
        time.sleep(0.001)
    _runs.pop(run, None)
    _checked()


def _checked() -> None:
    """Do nothing: as a call of Python's own code begins, an exception that the watch has set is raised."""


def _end_struck(run: _Run) -> None:
    """Take a run from the watch that was struck, perhaps while it was being taken; another stroke may be on its way."""
    while True:
        try:
            return _end(run)
        except _Stopped:
            continue


def _keep_watch() -> None:
    """Start the watch where none is alive in this process: a fork takes no threads along."""
    global _watch
    if _watch is None or not _watch.is_alive():
        _watch = threading.Thread(target=_look, name="sccr-in-time", daemon=True)
        _watch.start()


def _look() -> None:
    while True:
        time.sleep(_LOOK)
        now = time.monotonic()
        for run in list(_runs):
            if run.ends <= now and run.held.setdefault("by", "watch") == "watch":
                ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(run.thread), ctypes.py_object(_Stopped))
                run.ends = now + _AGAIN
                del run.held["by"]
