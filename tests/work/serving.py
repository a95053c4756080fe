"""The real service as a group of processes that can be killed and measured."""

import json
import subprocess
import sys
import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
NDJSON = {"Content-Type": "application/x-ndjson"}

_PROGRAM = """
import json, sys
from api.server import serve
from api.settings import Settings
serve(Settings(port=0, workers=1, database=sys.argv[1], **json.loads(sys.argv[2])))
"""


@contextmanager
def started(address: str, **settings: Any) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Start the service on a database, in a session of its own; yield its first process and its address."""
    command = [sys.executable, "-c", _PROGRAM, address, json.dumps(settings)]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, cwd=ROOT, stdout=pipe, text=True, start_new_session=True) as process:
        try:
            assert process.stdout is not None
            address = process.stdout.readline().strip()
            assert address, "the service did not start"
            yield process, address
        finally:
            if process.poll() is None:
                process.terminate()
                process.wait(timeout=60)


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
