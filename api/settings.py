"""What differs between installations."""

from dataclasses import dataclass
from pathlib import Path

MEBIBYTE = 2**20


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings of the service, fixed when it starts.

    host, port: where it listens; port 0 takes a free one. workers, threads: processes, and threads in each.
    max_body_bytes, max_import_bytes: the longest body that is read, and that of a table of parts [bytes].
    database: the address of the database; without one, a SQLite file in the folder `data`; without that, in the
    folder of the user. catalogue: a file (`catalogue/1`) whose parts the catalogue holds from the start.
    graceful_seconds: how long requests under way may take when it is told to stop [s].

    requests_a_minute: how many a key, or an address without one, may send; None: any number.
    most_at_once: how many requests a process works on at once, those after its health apart; None: one in each thread.
    wait_seconds: how long a request may have waited for a thread [s]; after that it is refused.
    receive_seconds: how long a request may take to come, head and body [s]. send_seconds: how long its caller may take
    to fetch a piece of the answer [s]. work_seconds: how long a rating may take [s].

    max_batch_bytes: the longest batch that is taken in [bytes]. work_processes: processes that rate the lines of
    batches and tell webhooks; 0: none here. cluster: the address of the scheduler of a Dask cluster that rates the
    lines in their place; they then only hand them out and take them in. lease_seconds: after how long the lines that a
    process took are another's, should it have died [s].
    webhook_targets: where webhooks may be, as origins (`https://erp.example`), and in which networks (`10.20.0.0/16`)
    beside the public Internet. webhook_seconds: how long a target may take to answer [s]. webhook_attempts: how often
    a message is sent. webhook_retry_seconds: the first pause between two attempts [s]; each is four times the last.
    """

    host: str = "127.0.0.1"
    port: int = 8008
    workers: int = 2
    threads: int = 4
    max_body_bytes: int = 2 * MEBIBYTE
    max_import_bytes: int = 64 * MEBIBYTE
    database: str | None = None
    data: Path | None = None
    catalogue: Path | None = None
    graceful_seconds: int = 30
    requests_a_minute: int | None = None
    most_at_once: int | None = None
    wait_seconds: float = 10.0
    receive_seconds: float = 30.0
    send_seconds: float = 30.0
    work_seconds: float = 30.0
    max_batch_bytes: int = 1024 * MEBIBYTE
    work_processes: int = 1
    cluster: str | None = None
    lease_seconds: float = 60.0
    webhook_targets: tuple[str, ...] = ()
    webhook_seconds: float = 10.0
    webhook_attempts: int = 8
    webhook_retry_seconds: float = 5.0
