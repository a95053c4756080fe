"""The real service in processes of its own, for tests that call it as others do."""

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from .conftest import ROOT

_PROGRAM = """
import json, sys
from api.server import serve
from api.settings import Settings
serve(Settings(port=0, **json.loads(sys.argv[1])))
"""


@contextmanager
def running(database: str, **settings: Any) -> Iterator[str]:
    """Start the service on a database, on a free port; yield its address."""
    command = [sys.executable, "-c", _PROGRAM, json.dumps({"database": database, **settings})]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            address = process.stdout.readline().strip()
            if not address:
                raise AssertionError(process.communicate(timeout=60)[1])
            yield address
        finally:
            process.terminate()
            process.communicate(timeout=60)
