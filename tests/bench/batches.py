"""A batch of a hundred megabytes: how much memory the processes of the service take for it."""

import json
import tempfile
from pathlib import Path

from rich.console import Console
from rich.table import Table

from tests.store.databases import fresh
from tests.store.databases import postgresql
from tests.work.memory import MEGABYTE
from tests.work.memory import Run
from tests.work.memory import long_batch

from .lines import line_of

SIZE = 100 * MEGABYTE
#: A panel that is filled with spaces to be as long as its result.
LINE = json.dumps(line_of(300)).encode().ljust(319_999) + b"\n"


def batch_memory(console: Console) -> None:
    """Print the most memory that each process has taken, after a short batch and after a long one [MB]."""
    with tempfile.TemporaryDirectory() as folder:
        with fresh(None, Path(folder)) as address:
            _print(console, "SQLite", long_batch(address, LINE, SIZE))
        with postgresql() as server, fresh(server, Path(folder)) as address:
            _print(console, "PostgreSQL", long_batch(address, LINE, SIZE))


def _print(console: Console, kind: str, run: Run) -> None:
    sent, fetched = run.sent / MEGABYTE, run.fetched / MEGABYTE
    console.print(f"batch of {sent:.0f} MB, {fetched:.0f} MB of results, {kind}: {run.seconds:.0f} s")
    table = Table("process that", "most memory before, MB", "after, MB")
    for name, before in run.before.items():
        table.add_row(name, f"{before / MEGABYTE:.0f}", f"{run.after[name] / MEGABYTE:.0f}")
    console.print(table)


if __name__ == "__main__":
    batch_memory(Console())
