"""`python -m tests.trust [--nightly] [area …]`: everything that the service is said to survive, tried, as one table.

Without --nightly it takes a few minutes, of which the usual tests run most; with it, hours. The exit status is 1 where
anything went wrong.
"""

import importlib
import sys
from collections.abc import Iterator
from time import monotonic

from rich.console import Console
from rich.table import Table

from tests.trust.row import Row

#: The modules of this package that try something: each has `tried(nightly)`, which yields rows.
AREAS = ("answers", "input", "faults", "load", "access", "changes")


def rows(names: list[str], nightly: bool) -> Iterator[tuple[Row, float]]:
    """Yield what each area tried, and the seconds that it took."""
    for name in names:
        start = monotonic()
        for row in importlib.import_module(f"tests.trust.{name}").tried(nightly):
            yield row, monotonic() - start
            start = monotonic()


def main(arguments: list[str]) -> int:
    """Print the table; 1 where something went wrong."""
    nightly = "--nightly" in arguments
    names = [name for name in arguments if not name.startswith("--")] or list(AREAS)
    table = Table("area", "what", "tried", "faults", "losses", "seconds", "note", title="What it survives")
    wrong = 0
    console = Console(width=None if sys.stdout.isatty() else 160)
    for row, seconds in rows(names, nightly):
        wrong += row.faults + row.losses
        console.print(f"{row.area}: {row.what}: {row.tried:,} {row.unit}, {row.faults} faults, {row.losses} losses")
        table.add_row(
            row.area,
            row.what,
            f"{row.tried:,} {row.unit}",
            str(row.faults),
            str(row.losses),
            f"{seconds:.0f}",
            row.note,
        )
    console.print(table)
    console.print(f"faults and losses: {wrong}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
