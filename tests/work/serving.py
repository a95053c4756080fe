"""The real service as a group of processes that can be killed and measured."""

import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.api.forked import Forked
from tests.api.forked import forked

ROOT = Path(__file__).parents[2]
NDJSON = {"Content-Type": "application/x-ndjson"}


@contextmanager
def started(address: str, **settings: Any) -> Iterator[tuple[Forked, str]]:
    """Start the service on a database, in a session of its own; yield its first process and its address."""
    with forked({"workers": 1, "database": address, **settings}, own_session=True) as process:
        yield process, process.address()


def eventually(holds: Callable[[], bool], seconds: float = 60, pause: float = 0.02) -> bool:
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        if holds():
            return True
        time.sleep(pause)
    return False


def processes_of(session: int) -> dict[int, int]:
    """Return the processes of a session that are alive, each with its parent."""
    found = {}
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            try:
                state, parent, _, own = (folder / "stat").read_text().rsplit(")", 1)[1].split()[:4]
            except (FileNotFoundError, ProcessLookupError):
                continue
            if int(own) == session and state != "Z":
                found[int(folder.name)] = int(parent)
    return found


def at_work(server: int) -> set[int]:
    """Return the processes that work: children of a watcher, which is of the session but no child of the server."""
    alive = processes_of(server)
    return {pid for pid, parent in alive.items() if parent in alive and parent != server}
