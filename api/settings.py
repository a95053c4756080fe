"""What differs between installations."""

from dataclasses import dataclass
from pathlib import Path

MEBIBYTE = 2**20


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings of the service, fixed when it starts.

    host, port: where it listens; port 0 takes a free one. workers, threads: processes, and threads in each.
    max_body_bytes: the longest body that is read [bytes]. catalogue: the file of the parts (`catalogue/1`), read once.
    graceful_seconds: how long requests under way may take when it is told to stop [s].
    """

    host: str = "127.0.0.1"
    port: int = 8008
    workers: int = 2
    threads: int = 4
    max_body_bytes: int = 2 * MEBIBYTE
    catalogue: Path | None = None
    graceful_seconds: int = 30
