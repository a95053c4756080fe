"""The real service in processes of its own, for tests that call it as others do."""

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from tempfile import TemporaryFile
from typing import Any

from .conftest import ROOT

_PROGRAM = """
import json, sys
from pathlib import Path
from api.server import serve
from api.settings import Settings
read = {"catalogue": Path, "webhook_targets": tuple}
given = {"port": 0, **json.loads(sys.argv[1])}
serve(Settings(**{name: read.get(name, lambda it: it)(it) for name, it in given.items()}))
"""


@contextmanager
def running(database: str, **settings: Any) -> Iterator[str]:
    """Start the service on a database, on a free port; yield its address."""
    command = [sys.executable, "-c", _PROGRAM, json.dumps({"database": database, **settings}, default=str)]
    with (
        TemporaryFile("w+") as log,  # not a pipe, which would be full after so many lines and stop the service
        subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=log, text=True) as process,
    ):
        assert process.stdout is not None
        try:
            address = process.stdout.readline().strip()
            if not address:
                process.wait(timeout=60)
                log.seek(0)
                raise AssertionError(log.read())
            yield address
        finally:
            process.terminate()
            process.communicate(timeout=60)
