"""`sccr serve`: the service on a production server, on loopback by default. `sccr work`: what it does beside, alone."""

import gc
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any
from typing import Final

import click

from sccr import InvalidDocument
from sccr import MalformedJson

from .installation import installed_store
from .installation import of_installation
from .installation import usable
from .rate import BAD_INPUT
from .rate import complain
from .workers import VARIABLE

_MOST_PROCESSES: Final = 64

_OF_WORK = (
    click.option(
        "--lease-seconds",
        default=60.0,
        show_default=True,
        type=click.FloatRange(1),
        help="After how long the lines of a process that died are another's.",
    ),
    click.option(
        "--webhook-target",
        "webhook_targets",
        multiple=True,
        help="Where webhooks may be: an origin (https://erp.example), or a network that names of origins may lead to "
        "(10.20.0.0/16); may be said again.  [default: nowhere]",
    ),
    click.option(
        "--webhook-seconds",
        default=10.0,
        show_default=True,
        type=click.FloatRange(0.1),
        help="How long a target may take to answer.",
    ),
    click.option(
        "--webhook-attempts",
        default=8,
        show_default=True,
        type=click.IntRange(1, 50),
        help="How often a message is sent, the pauses growing fourfold.",
    ),
)


def of_work(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of the work beside the requests."""
    for option in reversed(_OF_WORK):
        command = option(command)
    return command


class _Processes(click.ParamType):  # type: ignore[type-arg]  # older ones take no argument
    """How many processes work, or the address of a cluster that rates in their place."""

    name = "NUMBER|ADDRESS"

    def __init__(self, least: int) -> None:
        self._least = least

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int | str:
        """Return the number or the address."""
        from sccr.many import workers_of

        try:
            own = workers_of(value)
        except ValueError as error:
            self.fail(str(error), param, ctx)
        if isinstance(own, int) and not self._least <= own <= _MOST_PROCESSES:
            self.fail(f"{own} is not from {self._least} to {_MOST_PROCESSES}", param, ctx)
        return own


def _processes(what: str, least: int) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return what gives a command the option `work_processes`."""
    return click.option(
        "--work-processes",
        default=1,
        show_default=True,
        envvar=VARIABLE,
        type=_Processes(least),
        help=f"{what} Or the address of the scheduler of a Dask cluster: one process has it rate the lines. "
        f"({VARIABLE})",
    )


def _rated_by(work_processes: int | str) -> dict[str, Any]:
    """Return the settings that say who rates the lines of batches."""
    if isinstance(work_processes, str):
        return {"work_processes": 1, "cluster": work_processes}
    return {"work_processes": work_processes}


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8008, show_default=True, type=click.IntRange(0, 65535), help="Port to listen on.")
@click.option("--workers", default=2, show_default=True, type=click.IntRange(1, 64), help="Worker processes.")
@click.option("--threads", default=4, show_default=True, type=click.IntRange(1, 64), help="Threads of each worker.")
@of_installation
@click.option(
    "--catalogue",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A catalogue file (JSON) where the parts that panels name are looked up.",
)
@click.option("--requests-a-minute", type=click.IntRange(1), help="How many a key may send.  [default: any number]")
@click.option("--most-at-once", type=click.IntRange(1), help="How many a worker takes on.  [default: one a thread]")
@click.option("--work-seconds", default=30.0, show_default=True, type=click.FloatRange(0), help="Most for a rating.")
@click.option(
    "--max-batch-bytes", default=2**30, show_default=True, type=click.IntRange(1), help="The longest batch taken in."
)
@_processes("Processes that rate batches and tell webhooks; 0 where `sccr work` does.", least=0)
@of_work
def serve_command(catalogue: Path | None, work_processes: int | str, **settings: Any) -> None:
    """Serve the REST API until it is stopped (Ctrl-C or SIGTERM).

    Without keys it answers this machine only, and there everybody; with keys (`sccr keys create`), whoever has one.
    """
    with usable():
        gc.disable()  # else a fifth of the start goes into looking for garbage among modules, which have none
        try:
            from ..server import serve
            from ..settings import Settings
        finally:
            gc.enable()
        try:
            serve(Settings(catalogue=catalogue, **_rated_by(work_processes), **settings))
        except (InvalidDocument, MalformedJson) as error:
            complain(str(catalogue), error)
            sys.exit(BAD_INPUT)
        except ValueError as error:
            raise click.UsageError(str(error)) from error


@click.command("work")
@of_installation
@_processes("How many.", least=1)
@click.option("--work-seconds", default=30.0, show_default=True, type=click.FloatRange(0), help="Most for a rating.")
@of_work
def work_command(database: str | None, data: Path | None, work_processes: int | str, **settings: Any) -> None:
    """Rate the lines of batches and tell webhooks, until it is stopped (Ctrl-C or SIGTERM); no requests are answered.

    For machines that work on the database of a service, such as one PostgreSQL: there, too, say which --webhook-target
    is allowed. `sccr serve` does the same with processes of its own.
    """
    with installed_store(database, data) as store:
        from ..app import create_app
        from ..operations import shared
        from ..settings import Settings
        from ..work import alone

        with shared.shared_between_workers():
            try:
                by = _rated_by(work_processes)
                app = create_app(Settings(database=database, data=data, **by, **settings), store)
            except ValueError as error:
                raise click.UsageError(str(error)) from error
            click.echo(f"works, in {by['work_processes']} of its processes; Ctrl-C ends it", err=True)
            alone(app, by["work_processes"])
