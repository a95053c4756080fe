"""What the commands of the order desk have in common: a service to ask, and how its answers and refusals are told."""

import json
import os
import sys
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING
from typing import Any
from typing import Final

import click

from sccr import MalformedJson
from sccr.schema.strict_json import decode

from .extras import not_installed
from .rate import BAD_INPUT
from .rate import complain
from .rate import read

if TYPE_CHECKING:
    from ..client import Client
    from ..client import Problem
    from ..client import Tagged

FAILED: Final = 1
#: The statuses that say that what was sent is wrong; every other refusal is of what was asked for.
_OF_INPUT: Final = frozenset({400, 413, 414, 415, 422, 431})
_SERVER: Final = "http://127.0.0.1:8008"

_ADVICE: Final[Mapping[int, str]] = {
    HTTPStatus.UNAUTHORIZED: "Put the key that you were given into the environment variable SCCR_KEY.",
    HTTPStatus.PRECONDITION_FAILED: "Somebody was faster: nothing was changed. Get it again, decide anew, and then put "
    "it with its new ETag.",
}

of_service = click.option(
    "--server", envvar="SCCR_SERVER", default=_SERVER, show_default=True, help="Where the service is (SCCR_SERVER)."
)
in_form = click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
of_revision = click.option("--revision", type=click.IntRange(1), help="Its number.  [default: the newest]")
if_match = click.option("--if-match", metavar="ETAG", help="Change this state, and no other that is there meanwhile.")
to_be_new = click.option("--new", is_flag=True, help="It must not be there yet.")


@contextmanager
def service(server: str) -> "Iterator[Client]":
    """Yield the service, asked with the key of SCCR_KEY; what it refuses ends the command, told in full.

    Exit status: 2 where what was sent is wrong, 1 for every other refusal, and where it does not answer.
    """
    try:
        from ..client import Client
        from ..client import ClientError
        from ..client import Problem
    except ModuleNotFoundError as missing:
        raise not_installed("the client", missing) from missing
    try:
        with Client(server, _key()) as client:
            yield client
    except Problem as problem:
        tell_problem(problem)
        sys.exit(BAD_INPUT if problem.status in _OF_INPUT else FAILED)
    except ClientError as error:
        raise click.ClickException(str(error)) from error
    except ValueError as error:  # a name that no address can hold
        raise click.UsageError(str(error)) from error


def _key() -> str | None:
    key = os.environ.get("SCCR_KEY", "").strip()
    if not key.isascii() or not (key.isprintable() or not key):
        raise click.UsageError("SCCR_KEY: what stands there is no key")
    return key or None


def tell_problem(problem: "Problem") -> None:
    """Print a refusal: every error with its place and the remedy, and by which name the log of the service holds it."""
    click.echo(str(problem), err=True)
    advice = _ADVICE.get(problem.status)
    if advice:
        click.echo(advice, err=True)
    if problem.request_id:
        click.echo(f"request {problem.request_id}", err=True)


def document_of(name: str) -> dict[str, Any]:
    """Return the JSON object of a file, or of standard input; what is none ends the command as bad input."""
    try:
        document = decode(read(name))
    except MalformedJson as error:
        complain(name, error)
        sys.exit(BAD_INPUT)
    if not isinstance(document, dict):
        raise click.UsageError(f"{name}: is no JSON object")
    return document


def put(
    change: Callable[..., "Tagged[Any]"], present: Callable[[], "Tagged[Any]"], etag: str | None, new: bool
) -> "Tagged[Any]":
    """Return what a change makes: of the state that is named or is to be new, else of the present one, or a first."""
    if etag is not None and new:
        raise click.UsageError("say --if-match or --new, not both")
    if etag is None and not new:
        etag = etag_of(present)
    return change(create=True) if etag is None else change(if_match=quoted(etag))


def quoted(etag: str) -> str:
    """Return an ETag as a header has it: a shell may have taken its quotes."""
    return etag if etag == "*" or etag.startswith(('"', "W/")) else f'"{etag}"'


def etag_of(present: Callable[[], "Tagged[Any]"]) -> str | None:
    """Return the ETag of what is there, None where there is nothing."""
    from ..client import Problem

    try:
        return present().etag
    except Problem as problem:
        if problem.status != HTTPStatus.NOT_FOUND:
            raise
        return None


def as_json(value: Any) -> str:
    """Return a value as the other commands print theirs."""
    return json.dumps(value, ensure_ascii=False, indent=2)


def print_each(items: Iterable[Mapping[str, Any]], form: str, text: Callable[[Any], str]) -> None:
    """Print the items of a list as they come, a line each."""
    for item in items:
        click.echo(json.dumps(item, ensure_ascii=False) if form == "json" else text(item))


def write(content: bytes, output: str, *, binary: bool) -> None:
    """Write to a file, or to standard output for `-`; a terminal gets nothing that is binary."""
    if output == "-":
        if binary and _is_terminal():
            raise click.UsageError("this is no text for a terminal: name a file with -o")
        sys.stdout.buffer.write(content)
        sys.stdout.buffer.flush()
        return
    try:
        Path(output).write_bytes(content)
    except OSError as error:
        raise click.UsageError(f"{output}: {error.strerror}") from error


def _is_terminal() -> bool:
    return sys.stdout.isatty()


def form_of(output: str, stated: str | None, forms: Mapping[str, str], usual: str) -> str:
    """Return the form that is stated, else that of the ending of a file (`forms`), else the usual one."""
    if stated is not None:
        return stated
    if output == "-":
        return usual
    ending = Path(output).suffix.lower().removeprefix(".")
    if ending not in forms:
        raise click.UsageError(f"{output}: end its name with {', '.join(f'.{each}' for each in forms)}, or say --as")
    return forms[ending]


def minute(stamp: str | None) -> str:
    """Return a time to the minute, in UTC."""
    return "never" if stamp is None else f"{stamp[:10]} {stamp[11:16]}Z"


def amperes(value: float | None) -> str:
    """Return a rating as lists show it."""
    return "none" if value is None else f"{value / 1000:g} kA"
