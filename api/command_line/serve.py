"""`sccr serve`: the service on a production server, on loopback by default."""

from pathlib import Path

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
def serve_command(host: str, port: int, workers: int, threads: int, catalogue: Path | None) -> None:
    """Serve the REST API until it is stopped (Ctrl-C or SIGTERM)."""
    try:
        from ..server import serve
        from ..settings import Settings
    except ModuleNotFoundError as missing:
        raise click.ClickException(
            f"the service is not installed ({missing}): pip install 'sccr[service]'"
        ) from missing
    try:
        serve(Settings(host=host, port=port, workers=workers, threads=threads, catalogue=catalogue))
    except ValueError as error:
        raise click.UsageError(str(error)) from error
