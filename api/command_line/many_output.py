"""Where the results of many panels go, and what it takes to go on with them after the run was broken off.

The results are a file of lines, written one after the other. Beside it lies what they were made from, written once
before the first of them: input, catalogue, engine. Whatever ends a run, even SIGKILL, leaves whole lines and perhaps a
part of one, from which the same run goes on; another is refused.
"""

import fcntl
import hashlib
import json
import os
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from contextlib import suppress
from dataclasses import asdict
from dataclasses import dataclass
from dataclasses import field
from pathlib import Path
from typing import IO
from typing import Final

import click
import msgspec

from sccr.editions import editions
from sccr.many import Outcome
from sccr.schema.catalogue import Catalogue
from sccr.version import ENGINE_VERSION

from ..line_results import line_of

_FORMAT: Final = "rate-many/1"
#: What the file beside the results is called: as they are, and this.
BESIDE: Final = ".run.json"


@dataclass(frozen=True, slots=True)
class Run:
    """What the results of a run are made from: the same run gives the same lines, byte for byte."""

    input_digest: str
    input_bytes: int
    catalogue_digest: str | None
    engine_version: str
    tables_digests: dict[str, str]
    derivation: str
    format: str = _FORMAT

    @classmethod
    def over(cls, stream: IO[bytes], catalogue: Catalogue | None, derivation: str) -> "Run":
        """Return the run over what is left of a file, which is read for its digest and set to where it stood."""
        start = stream.tell()
        digest = hashlib.file_digest(stream, "sha256").hexdigest()  # type: ignore[arg-type]
        size = stream.tell() - start
        stream.seek(start)
        tables = {each.id: each.tables_digest() for each in editions().values()}
        return cls(digest, size, None if catalogue is None else catalogue.digest, ENGINE_VERSION, tables, derivation)


@dataclass(slots=True)
class Output:
    """The results: how many lines of them there are, and how many panels were rated, withheld and refused."""

    stream: IO[bytes]
    done: int = 0
    counts: Counter[str] = field(default_factory=Counter)

    def write(self, outcome: Outcome) -> None:
        """Write the line of a panel."""
        self.stream.write(line_of(outcome) + b"\n")
        self.done += 1
        self.counts[outcome.status] += 1


@contextmanager
def written_to(name: str, run: Run | None, resume: bool) -> Iterator[Output]:
    """Yield the results in a file, new or as far as they go; run: what they are made from, None where nobody knows.

    The command ends where the file is there and is not to be gone on with, or is of another run, or is being written.
    """
    there = Path(name).exists()
    if there and not resume:
        remedy = "; --resume goes on with it" if run is not None else ""
        raise click.UsageError(f"{name} is there already, and is not overwritten{remedy}")
    if there:
        assert run is not None  # else there is nothing to go on with
        _require_same(name, run)
    try:
        with Path(name).open("r+b" if there else "xb") as stream:
            _lock(name, stream)
            if run is not None and not there:
                _note(name, run)
            output = _found(name, stream) if there else Output(stream)
            yield output
    except OSError as error:
        raise click.ClickException(f"{name}: {error.strerror or error}") from error


def _lock(name: str, stream: IO[bytes]) -> None:
    try:
        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise click.ClickException(f"{name}: another run writes it at this moment") from None


def _note(name: str, run: Run) -> None:
    """Write what the results are made from, whole or not at all."""
    beside = Path(name + BESIDE)
    new = Path(f"{beside}.new")
    with new.open("w", encoding="utf-8") as stream:
        json.dump(asdict(run), stream, indent=2)
        stream.flush()
        os.fsync(stream.fileno())
    new.replace(beside)


def _require_same(name: str, run: Run) -> None:
    """End the command where results are not known to be of this run."""
    try:
        noted = json.loads(Path(name + BESIDE).read_bytes())
        differing = [each for each, value in asdict(run).items() if noted.get(each) != value]
    except FileNotFoundError:
        raise click.UsageError(f"{name} cannot be gone on with: {name}{BESIDE}, which says of what, is gone") from None
    except (ValueError, AttributeError):
        raise click.UsageError(f"{name} cannot be gone on with: {name}{BESIDE} cannot be read") from None
    if differing:
        names = ", ".join(_CALLED[each] for each in differing)
        raise click.UsageError(f"{name} was made otherwise: {names} are not as they were; say another --out")


_CALLED: Final = {
    "input_digest": "the panels",
    "input_bytes": "the length of the input",
    "catalogue_digest": "the parts of the catalogue",
    "engine_version": "the version of the engine",
    "tables_digests": "the tables of the rules",
    "derivation": "the derivations that are asked for",
    "format": "the results",
}


class _Result(msgspec.Struct):
    status: str


class _Line(msgspec.Struct):
    line: int
    result: _Result | None = None


_LINES: Final = msgspec.json.Decoder(_Line)


def _found(name: str, stream: IO[bytes]) -> Output:
    """Return the results that there are, with the file cut off after the last whole line."""
    output, end = Output(stream), 0
    for line in stream:
        if not line.endswith(b"\n"):
            break
        with suppress(msgspec.DecodeError):
            found = _LINES.decode(line)
            if found.line == output.done + 1:
                output.done += 1
                output.counts["refused" if found.result is None else found.result.status] += 1
                end += len(line)
                continue
        raise click.ClickException(f"{name}: line {output.done + 1} is not the result of that line; it was changed")
    stream.seek(end)
    stream.truncate()
    return output
