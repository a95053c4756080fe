"""The file of an SQLite database: the same for as long as a process has it open.

SQLite finds the write-ahead log by the name of the file. Were the file moved away under a running service, the next
connection would make an empty one in its place, take the log for that of this one, and throw it away: with all that was
acknowledged since the last checkpoint. Hence nothing is done while the file is not where it was.
"""

from pathlib import Path

from .errors import Unavailable


class OwnFile:
    """Where the file is, and which it was when it was first opened; a process that was forked knows it, too."""

    def __init__(self, path: str) -> None:
        self._path = Path(path)
        self._log = Path(f"{path}-wal")
        self._first: tuple[int, int] | None = None

    def require_own(self) -> None:
        """Raise Unavailable where opening the file, or going on with it, would not be safe."""
        if self._first is None:
            self._require_no_stray_log()
        elif self._found() != self._first:
            raise Unavailable(
                f"the database cannot be used: {self._path} was moved away, or another file was put in its place, "
                "while it was in use. Put it back; to replace it, stop what uses it first"
            )

    def opened(self) -> None:
        """Note which file it is that was opened."""
        self._first = self._first or self._found()

    def _found(self) -> tuple[int, int] | None:
        try:
            status = self._path.stat()
        except OSError:
            return None
        return status.st_dev, status.st_ino

    def _require_no_stray_log(self) -> None:
        """Refuse to begin a database beside a log of another, of which SQLite would delete the log."""
        if not _size(self._path) and _size(self._log):
            raise Unavailable(
                f"the database cannot be used: there is {self._log.name}, but not the database that it belongs to. Put "
                f"that back as {self._path}; where it is lost, move the log away, too"
            )


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0
