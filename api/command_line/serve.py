"""`sccr serve`: the service on a production server, on loopback by default."""

from pathlib import Path
from typing import Any

import click


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8008, show_default=True, type=click.IntRange(0, 65535), help="Port to listen on.")
@click.option("--workers", default=2, show_default=True, type=click.IntRange(1, 64), help="Worker processes.")
@click.option("--threads", default=4, show_default=True, type=click.IntRange(1, 64), help="Threads of each worker.")
@click.option(
    "--catalogue",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A catalogue file (JSON) where the parts that panels name are looked up.",
)
@click.option("--requests-a-minute", type=click.IntRange(1), help="How many a key may send.  [default: any number]")
@click.option("--most-at-once", type=click.IntRange(1), help="How many a worker takes on.  [default: one a thread]")
@click.option("--work-seconds", default=30.0, show_default=True, type=click.FloatRange(0), help="Most for a rating.")
def serve_command(**settings: Any) -> None:
    """Serve the REST API until it is stopped (Ctrl-C or SIGTERM).

    Without keys it answers this machine only, and there everybody.
    """
    try:
        from ..server import serve
        from ..settings import Settings
    except ModuleNotFoundError as missing:
        raise click.ClickException(
            f"the service is not installed ({missing}): pip install 'sccr[service]'"
        ) from missing
    try:
        serve(Settings(**settings))
    except ValueError as error:
        raise click.UsageError(str(error)) from error
