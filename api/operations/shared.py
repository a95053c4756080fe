"""Metrics that all workers of the server count together: files in a folder, that each of them can add up."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from contextlib import suppress
from pathlib import Path
from typing import Any
from typing import Final

from prometheus_client import values
from prometheus_client.multiprocess import mark_process_dead

#: The environment variable by which prometheus_client is told.
_FOLDER: Final = "PROMETHEUS_MULTIPROC_DIR"
_MAIN: Final = "main"
#: The files of a process, by prometheus_client's names, and how long each is from the start [bytes]: for thousands of
#: counts.
_FILES: Final = ("counter", "histogram", "gauge_livesum", "gauge_max")
_SIZE: Final = 2**19

#: In which place this process works. A worker that takes the place of a dead one goes on with its files: their number
#: stays that of the workers, and no count falls.
_place = _MAIN


def folder() -> Path | None:
    """Return where the metrics of all workers are, None where there is one process."""
    path = os.environ.get(_FOLDER)
    return Path(path) if path else None


@contextmanager
def shared_between_workers() -> Iterator[None]:
    """Have the metrics that are made in the meantime counted by all workers together, from nothing."""
    owner = os.getpid()
    os.environ[_FOLDER] = tempfile.mkdtemp(prefix="sccr-metrics-")
    _take_room(_MAIN)
    # prometheus_client chooses when it is imported, which may have been long before anybody knew of workers.
    alone, values.ValueClass = values.ValueClass, values.MultiProcessValue(lambda: _place)  # type: ignore[no-untyped-call]
    try:
        yield
    finally:
        if os.getpid() == owner:  # a worker that ends comes by here, too
            values.ValueClass = alone
            shutil.rmtree(os.environ.pop(_FOLDER), ignore_errors=True)


def before_fork(server: Any, worker: Any) -> None:
    """Give a worker that is about to be forked a place that no living one has (gunicorn's hook `pre_fork`)."""
    taken = {each.place for each in server.WORKERS.values()}
    worker.place = next(str(number) for number in range(len(taken) + 1) if str(number) not in taken)


def after_fork(_: Any, worker: Any) -> None:
    """Take the place, in the worker (gunicorn's hook `post_fork`)."""
    global _place
    _place = worker.place
    _take_room(_place)


def after_exit(_: Any, worker: Any) -> None:
    """Forget what a dead worker was at (gunicorn's hook `child_exit`)."""
    mark_process_dead(worker.place)  # type: ignore[no-untyped-call]


def _take_room(place: str) -> None:
    """Make the files of a process with all their bytes on the disk.

    prometheus_client writes to them as memory. Where the disk is full, and a page of the file not on it yet, that ends
    the process (SIGBUS), and the next one in its place.
    """
    own = folder()
    for kind in _FILES if own else ():
        assert own is not None
        with suppress(OSError), (own / f"{kind}_{place}.db").open("ab") as file:
            os.posix_fallocate(file.fileno(), 0, _SIZE)
