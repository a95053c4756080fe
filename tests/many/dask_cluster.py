"""A real Dask scheduler and its workers, as processes of this machine on loopback."""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from collections.abc import Sequence
from contextlib import ExitStack
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.work.serving import eventually

ROOT = Path(__file__).parents[2]
_QUIET = ("--no-dashboard",)


@dataclass(frozen=True)
class Running:
    """The address of a scheduler, and the processes that are its workers."""

    address: str
    scheduler: subprocess.Popen[bytes]
    workers: list[subprocess.Popen[bytes]]


@contextmanager
def cluster(workers: int = 2, options: Sequence[str] = (), protocol: str = "tcp", port: int = 0) -> Iterator[Running]:
    """Start a scheduler and workers of one thread each; all of them are killed when the block is left."""
    with tempfile.TemporaryDirectory(prefix="sccr-dask-") as folder, ExitStack() as stack:
        found, log = Path(folder) / "scheduler.json", Path(folder) / "log"

        def start(program: str, *arguments: str) -> subprocess.Popen[bytes]:
            command = [sys.executable, "-m", f"distributed.cli.{program}", *arguments, *_QUIET, *options]
            with log.open("ab") as told:
                process = subprocess.Popen(
                    command, cwd=folder, stdout=told, stderr=told, env={**os.environ, "PYTHONPATH": str(ROOT)}
                )
            stack.callback(process.wait)
            stack.callback(process.kill)
            return process

        where = ("--host", f"{protocol}://127.0.0.1", "--port", str(port), "--scheduler-file", str(found))
        scheduler = start("dask_scheduler", *where)
        assert eventually(lambda: found.exists() and bool(found.read_text())), log.read_text()
        address = json.loads(found.read_text())["address"]
        each = ("--no-nanny", "--nthreads", "1", "--local-directory", folder, "--host", f"{protocol}://127.0.0.1")
        started = [start("dask_worker", address, *each) for _ in range(workers)]
        # A client waits ten seconds for one, and a busy machine may take longer to start it.
        assert eventually(lambda: log.read_text().count("Registered to:") == workers), log.read_text()
        yield Running(address, scheduler, started)
