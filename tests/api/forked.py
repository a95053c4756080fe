"""The real service in processes that are forked from one which has imported it: no start waits for imports.

The fork server of `multiprocessing` imports what services need, once for each process of the tests. A service forked
from it is a process as any other: with its own settings, environment, output and children, to be stopped or killed.
`tests/command_line/test_serve.py` and `tests/api/test_server.py` start the real command.
"""

import multiprocessing
import os
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import IO
from typing import Any

_CONTEXT = multiprocessing.get_context("forkserver")
_CONTEXT.set_forkserver_preload(["tests.api.ready"])
_PATIENCE = 60


class Forked:
    """A service in processes of its own: what `subprocess.Popen` tells of a process, as far as tests ask."""

    def __init__(self, process: BaseProcess, stdout: IO[str], log: Path) -> None:
        assert process.pid is not None
        self.pid = process.pid
        self.stdout = stdout
        self._process = process
        self._log = log

    @property
    def returncode(self) -> int | None:
        return self._process.exitcode

    def poll(self) -> int | None:
        return self._process.exitcode

    def wait(self, timeout: float = _PATIENCE) -> int:
        self._process.join(timeout)
        if self._process.exitcode is None:
            raise subprocess.TimeoutExpired("serve", timeout)
        return self._process.exitcode

    def send_signal(self, number: int) -> None:
        if self.poll() is None:
            os.kill(self.pid, number)

    def terminate(self) -> None:
        self.send_signal(signal.SIGTERM)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)

    def communicate(self, timeout: float = _PATIENCE) -> tuple[str, str]:
        """Wait for the end; return what was printed, and what was logged."""
        self.wait(timeout)
        return self.stdout.read(), self.log()

    def log(self) -> str:
        """What was logged until now."""
        return self._log.read_text("utf-8")

    def address(self) -> str:
        """Wait until it listens, and return where."""
        address = self.stdout.readline().strip()
        if not address:
            self.wait()
            raise AssertionError(self.log())
        return address


@contextmanager
def forked(
    settings: dict[str, Any], environment: dict[str, str] | None = None, *, own_session: bool = False
) -> Iterator[Forked]:
    """Start the service, on a free port unless the settings name one; when the block is left, it is told to stop.

    environment: added to that of the tests. own_session: so that all of its processes can be killed at once.
    """
    printed, prints = multiprocessing.Pipe(duplex=False)
    with tempfile.TemporaryDirectory(prefix="sccr-forked-") as folder, os.fdopen(os.dup(printed.fileno())) as stdout:
        printed.close()
        log = Path(folder) / "log"  # not a pipe, which would be full after so many lines and stop the service
        told = ({"port": 0, **settings}, {**os.environ, **(environment or {})}, own_session, prints, log)
        process = _CONTEXT.Process(target=_serve, args=told)
        process.start()
        prints.close()
        service = Forked(process, stdout, log)
        try:
            yield service
        finally:
            service.terminate()
            service.wait()


def _serve(
    settings: dict[str, Any], environment: dict[str, str], own_session: bool, prints: Connection, log: Path
) -> None:
    """Be the service, in the process that was forked."""
    from api.server import serve
    from api.settings import Settings

    if own_session:
        os.setsid()
    os.environ.clear()
    os.environ.update(environment)
    tempfile.tempdir = None  # as the environment says
    os.dup2(prints.fileno(), 1)
    prints.close()
    with log.open("ab") as file:
        os.dup2(file.fileno(), 2)
    serve(Settings(**settings))
