"""`sccr serve` in processes of its own, which can be killed, started again, and told another time."""

import json
import multiprocessing
import os
import signal
import sys
import tempfile
from collections.abc import Iterator
from collections.abc import Mapping
from contextlib import contextmanager
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

import requests

from api.command_line import main
from tests.work.serving import at_work
from tests.work.serving import eventually
from tests.work.serving import processes_of

from .moved_clock import move

#: Services are forked from a process that has imported what they need (`tests/api/forked.py`).
_CONTEXT = multiprocessing.get_context("forkserver")
_CONTEXT.set_forkserver_preload(["tests.api.ready"])
#: After so many seconds a request that got no answer counts as lost, and whoever sends it again is heard [s].
LOST = 61


class Served:
    """The service on a database: a folder holds its clock, its log and its temporary files."""

    def __init__(
        self, folder: Path, database: str, *options: str, environment: Mapping[str, str] | None = None
    ) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.database = database
        self.url = ""
        self._clock = folder / "clock"
        self._clock.write_text("0")
        self._log = folder / "log"
        temporary = folder / "temporary"
        temporary.mkdir(exist_ok=True)
        self._own = {**os.environ, "TMPDIR": str(temporary), **(environment or {})}
        self._options = options
        self._process: BaseProcess | None = None

    def start(self) -> None:
        """Start it, and wait until it listens. Raises AssertionError with its log where it does not."""
        own = ("--port", "0", "--database", self.database, "--lease-seconds", "5", *self._options)
        printed, prints = multiprocessing.Pipe(duplex=False)
        told = (("serve", *own), self._clock, self._own, prints, self._log)
        self._process = _CONTEXT.Process(target=_be_sccr, args=told)
        self._process.start()
        prints.close()
        with os.fdopen(os.dup(printed.fileno())) as stdout:
            printed.close()
            self.url = stdout.readline().strip()
        assert self.url, self._log.read_text()[-3000:]

    def stop(self) -> None:
        """Stop it as whoever runs it does."""
        os.kill(self._first, signal.SIGTERM)
        self._ended()

    def kill(self) -> None:
        """End all its processes at once, as a machine that loses its power does."""
        os.killpg(self._first, signal.SIGKILL)
        self._ended()

    def kill_master(self) -> None:
        """End the first of its processes alone; the others follow."""
        os.kill(self._first, signal.SIGKILL)
        self._ended()
        assert eventually(lambda: not self.processes()), "processes were left behind"

    def workers(self) -> list[int]:
        """Return the processes that answer requests."""
        return [pid for pid, parent in processes_of(self._first).items() if parent == self._first]

    def working(self) -> list[int]:
        """Return the processes that rate batches and tell webhooks."""
        return sorted(at_work(self._first))

    def processes(self) -> list[int]:
        return sorted(processes_of(self._first))

    def move_clock(self, seconds: float) -> None:
        """Move its clock, while it runs or before it starts."""
        moved = float(self._clock.read_text()) + seconds
        new = self._clock.with_name("moved")
        new.write_text(str(moved))
        new.replace(self._clock)  # in one step: it is read at any time

    def is_ready(self) -> bool:
        """Return whether it says that it can do its work."""
        try:
            return requests.get(f"{self.url}/health/ready", timeout=30).status_code == 200
        except requests.RequestException:
            return False

    def logged(self) -> list[dict[str, Any]]:
        """Return the lines of its log that are whole; a kill may cut the last."""
        found = []
        for line in self._log.read_text(errors="replace").splitlines():
            try:
                found.append(json.loads(line))
            except ValueError:
                continue
        return found

    def failures(self) -> list[str]:
        """Return what the service itself calls its own failure, from its log."""
        kinds = {"failed", "work failed", "line failed", "panel not reviewed", "a thread ended"}
        lines = [line for line in self.logged() if line.get("message") in kinds]
        return [f"{line['message']}: {line.get('traceback', '')[-1500:]}" for line in lines]

    @property
    def _first(self) -> int:
        assert self._process is not None
        assert self._process.pid is not None
        return self._process.pid

    def _ended(self) -> None:
        assert self._process is not None
        self._process.join(60)
        assert self._process.exitcode is not None, "it does not end"


def _be_sccr(
    arguments: tuple[str, ...], clock: Path, environment: dict[str, str], prints: Connection, log: Path
) -> None:
    """Be the command, in a process that was forked and of which nobody else knows."""
    os.setsid()
    os.environ.clear()
    os.environ.update(environment)
    tempfile.tempdir = None  # as the environment says
    os.dup2(prints.fileno(), 1)
    prints.close()
    with log.open("ab") as file:
        os.dup2(file.fileno(), 2)
    move(clock)
    sys.argv = ["sccr", *arguments]
    main()


@contextmanager
def served(folder: Path, database: str, *options: str, **more: Any) -> Iterator[Served]:
    """Yield the service, started; at the end nothing of it is left."""
    service = Served(folder, database, *options, **more)
    service.start()
    try:
        yield service
    finally:
        if service.processes():
            service.stop()
