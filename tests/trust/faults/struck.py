"""A database that fails for a while under load: full, read-only, gone and back."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import contextmanager
from contextlib import suppress
from pathlib import Path

from sqlalchemy import create_engine
from sqlalchemy.engine import URL

from tests.work.serving import eventually

from .asking import Load
from .served import Served
from .served import served
from .whole import Held
from .whole import held

#: Makes the database fail, or ends that.
Stroke = Callable[[Served], None]


def struck(database: str, folder: Path, strike: Stroke, heal: Stroke, seconds: float = 1.0, seed: int = 1) -> Held:
    """Ask before, while and after the database fails.

    While it fails, whoever wants something kept is told so (503 and when to come back); with the fault gone the same
    processes go on, nobody starts anything anew, and what was refused is done when it is sent again.
    """
    with served(folder, database) as service:
        load = Load(service, seed)
        load.run(seconds)
        before, processes = len(load.ledger.acknowledged), service.processes()
        strike(service)
        try:
            load.run(seconds)
        finally:
            heal(service)
        refused = load.ledger.refused.total()
        load.settle()
        load.run(seconds)
        load.settle()
        found = held(load)
        own = [*load.ledger.faults, *service.failures()]
        own += [] if refused else ["nobody noticed that the database failed"]
        own += [] if len(load.ledger.acknowledged) > before else ["nothing was kept after the database was back"]
        own += [] if service.processes() == processes else ["processes ended"]
        own += [] if eventually(service.is_ready, 10) else ["it is not ready again"]
        return found + Held(0, [], own)


@contextmanager
def small_disk(size: str = "24m") -> Iterator[Path | None]:
    """Yield a file system of its own and of a size; None where this user may mount none."""
    folder = Path(tempfile.mkdtemp(prefix="sccr-disk-"))
    mounted = _run("mount", "-t", "tmpfs", "-o", f"size={size},mode=0700", "tmpfs", str(folder))
    try:
        yield folder if mounted else None
    finally:
        if mounted:
            _run("umount", "-l", str(folder))
        shutil.rmtree(folder, ignore_errors=True)


def full(folder: Path) -> tuple[Stroke, Stroke]:
    """Fill a disk to its last byte, and free it."""
    ballast = folder / "ballast"

    def fill(_: Served) -> None:
        with suppress(OSError), ballast.open("wb", buffering=0) as file:
            for size in (65_536, 512, 1):
                with suppress(OSError):
                    while file.write(b"\0" * size):
                        pass

    return fill, lambda _: ballast.unlink()


def limited() -> tuple[Stroke, Stroke]:
    """Let no process of the service write past the first bytes of a file, as a quota does; and let it again."""
    import resource

    def limit(most: int) -> Stroke:
        def strike(service: Served) -> None:
            for process in service.processes():
                hard = resource.prlimit(process, resource.RLIMIT_FSIZE)[1]
                resource.prlimit(process, resource.RLIMIT_FSIZE, (most, hard))

        return strike

    return limit(4096), limit(resource.RLIM_INFINITY)


def immutable(database: Path) -> tuple[Stroke, Stroke] | None:
    """Have the file system refuse every change of the files of a database, open or not; None where it cannot."""
    database.parent.mkdir(parents=True, exist_ok=True)
    probe = database.with_name("probe")
    probe.touch()
    if not _run("chattr", "+i", str(probe)):
        return None
    _run("chattr", "-i", str(probe))

    def files() -> list[str]:
        return [str(path) for path in database.parent.glob(f"{database.name}*") if not path.name.endswith("-shm")]

    return (lambda _: _must("chattr", "+i", *files())), (lambda _: _must("chattr", "-i", *files()))


def moved(database: Path) -> tuple[Stroke, Stroke]:
    """Move the file of a database away, and back."""
    elsewhere = database.with_name("elsewhere")
    return (lambda _: database.rename(elsewhere) and None), (lambda _: elsewhere.rename(database) and None)


def read_only(server: URL, name: str) -> tuple[Stroke, Stroke]:
    """Make a database of PostgreSQL read-only, as a standby is, and writable again."""

    def become(state: str) -> Stroke:
        def strike(_: Served) -> None:
            engine = create_engine(server, isolation_level="AUTOCOMMIT")
            with engine.connect() as connection:
                connection.exec_driver_sql(f"ALTER DATABASE {name} SET default_transaction_read_only = {state}")
                connection.exec_driver_sql(
                    f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{name}'"
                )
            engine.dispose()

        return strike

    return become("on"), become("off")


def _run(*command: str) -> bool:
    """Run a program, and return whether it is there and did what it should."""
    if os.geteuid() != 0 or shutil.which(command[0]) is None:
        return False
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


def _must(*command: str) -> None:
    subprocess.run(command, capture_output=True, check=True)
