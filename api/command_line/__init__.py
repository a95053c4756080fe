"""The command line: `sccr rate`, `sccr serve`. Where the engine, files and the service are put together."""

from .main import main as main

__all__ = ["main"]
