"""Who rates many panels, and how far they are, as the commands say it."""

import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING
from typing import Any
from typing import Final
from typing import TypeVar

import click

if TYPE_CHECKING:
    from sccr.many import Executor

#: The environment variable that says who rates, as `sccr.many.workers` reads it.
VARIABLE: Final = "SCCR_WORKERS"

Command = TypeVar("Command", bound=Callable[..., Any])

#: How often what is shown is made anew [s].
_LOOK: Final = 0.1


def of_workers(command: Command) -> Command:
    """Give a command the option `workers`."""
    return click.option(
        "--workers",
        help="Who rates: so many processes (0: this one), or the address of the scheduler of a Dask cluster "
        f"({VARIABLE}).  [default: a process a core]",
    )(command)


@contextmanager
def who_rates(workers: str | None) -> "Iterator[Executor]":
    """Yield who rates; where there is nobody, the command ends."""
    from sccr.errors import NotRated
    from sccr.many import executor

    try:
        with executor(workers) as by:
            yield by
    except NotRated as error:
        raise click.ClickException(str(error)) from error


def require_workers(workers: str | None) -> None:
    """End the command where nobody can be meant by the option, or by SCCR_WORKERS in its place."""
    from sccr.many import workers_of

    try:
        workers_of(workers)
    except ValueError as error:
        raise click.UsageError(f"--workers, or SCCR_WORKERS: {error}") from error


@contextmanager
def progress(what: str, total: int | None, at: int = 0) -> Iterator[Callable[[int], None]]:
    """Yield what is called after each panel, with how much of the total is done; on a terminal it shows how far it is.

    total: None where it is not known; then no time left is shown. at: where it begins.
    """
    from rich.console import Console

    console = Console(stderr=True)
    if not console.is_terminal:
        yield lambda done: None
        return
    from rich.progress import BarColumn
    from rich.progress import Progress
    from rich.progress import TaskProgressColumn
    from rich.progress import TextColumn
    from rich.progress import TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task(what, total=total, completed=at)
        began = told = time.monotonic()
        count = 0

        def tell(done: int) -> None:
            nonlocal count, told
            count += 1
            now = time.monotonic()
            if now - told > _LOOK:
                told = now
                rate = f"{count / (now - began):,.0f} a second"
                bar.update(task, completed=done, description=f"{count:,} {what}, {rate}")

        yield tell
