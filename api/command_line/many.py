"""`sccr rate --many`: a file of panels, one on each line, rated as a stream; what is broken off can be gone on with."""

import os
import stat
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import IO
from typing import Final

import click

from sccr.many import Executor
from sccr.many import Outcome
from sccr.many import Refused
from sccr.many import rate_many
from sccr.many.lines import lines_in
from sccr.schema.catalogue import Catalogue

from .many_output import Output
from .many_output import Run
from .many_output import written_to
from .workers import progress
from .workers import require_workers
from .workers import who_rates

#: Broken off by Ctrl-C, as a shell tells it.
INTERRUPTED: Final = 130

#: The longest line that is read [bytes]: a panel of some thirty thousand components.
LONGEST: Final = 2**23
_PIECE: Final = 2**16
_TOO_LONG: Final = Outcome(
    0, "refused", refused=Refused("line-too-long", f"the line is longer than {LONGEST} bytes, the most that is read")
)


class Lines:
    """The panels of a file, as they are read; one that is too long is refused, and not kept in memory."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream = stream
        self.read = 0

    def __iter__(self) -> Iterator[bytes | Outcome]:
        for line in lines_in(self._pieces(), LONGEST):
            yield line if len(line) <= LONGEST else _TOO_LONG

    def _pieces(self) -> Iterator[bytes]:
        while piece := self._stream.read(_PIECE):
            self.read += len(piece)
            yield piece


def rate_lines(
    name: str, catalogue: Catalogue | None, derivation: str, out: str | None, resume: bool, workers: str | None
) -> Output:
    """Rate the panels of a file, or of standard input (-); return what there is of results.

    Ctrl-C ends the command with status 130 and the results as they are.
    """
    require_workers(workers)
    with _opened(name) as stream:
        size = _size(stream)
        if resume and (out is None or size is None):
            raise click.UsageError("--resume needs --out, and a file that can be read again from its beginning")
        run = Run.over(stream, catalogue, derivation) if out is not None and size is not None else None
        with _output(out, run, resume) as output, who_rates(workers) as by:
            before, began = output.done, time.monotonic()
            try:
                _rate(Lines(stream), size, output, catalogue, derivation, by)
            except KeyboardInterrupt:
                _tell(output, before, time.monotonic() - began)
                going_on = f"; the same with --resume goes on with {out}" if run is not None else ""
                click.echo(f"Broken off{going_on}", err=True)
                raise click.exceptions.Exit(INTERRUPTED) from None
            _tell(output, before, time.monotonic() - began)
            return output


def _rate(
    lines: Lines, size: int | None, output: Output, catalogue: Catalogue | None, derivation: str, by: Executor
) -> None:
    documents = islice(lines, output.done, None)
    with progress("panels rated", size) as tell:
        for outcome in rate_many(documents, catalogue, workers=by, derivation=derivation, first=output.done + 1):
            output.write(outcome)
            tell(lines.read)
            if outcome.refused is not None and outcome.refused.cause is not None:
                click.echo(f"line {outcome.line}: {outcome.refused.cause}", err=True)


def _tell(output: Output, before: int, seconds: float) -> None:
    new, counts = output.done - before, output.counts
    told = ", ".join(f"{counts[status]:,} {status}" for status in ("rated", "withheld", "refused"))
    earlier = f"; {before:,} of them before" if before else ""
    click.echo(f"{output.done:,} panels: {told}{earlier}; {new / max(seconds, 0.001):,.0f} a second", err=True)


@contextmanager
def _opened(name: str) -> Iterator[IO[bytes]]:
    if name == "-":
        yield sys.stdin.buffer
        return
    with ExitStack() as opened:
        try:
            stream = opened.enter_context(Path(name).open("rb"))
        except OSError as error:
            raise click.UsageError(f"{name}: {error.strerror}") from error
        yield stream


def _size(stream: IO[bytes]) -> int | None:
    """Return how long a file is [bytes]; None for what cannot be read twice."""
    try:
        status = os.fstat(stream.fileno())
    except OSError:  # what stands for standard input need not be a file at all
        return None
    return status.st_size if stat.S_ISREG(status.st_mode) else None


@contextmanager
def _output(out: str | None, run: Run | None, resume: bool) -> Iterator[Output]:
    if out is not None:
        with written_to(out, run, resume) as output:
            yield output
        return
    yield Output(sys.stdout.buffer)
    sys.stdout.buffer.flush()
