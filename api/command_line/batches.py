"""`sccr batch`: many panels at once."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING
from typing import Any
from typing import Final

import click

from .desk import FAILED
from .desk import as_json
from .desk import document_of
from .desk import in_form
from .desk import minute
from .desk import of_service
from .desk import print_each
from .desk import service

if TYPE_CHECKING:
    from ..client import Batch
    from ..client import Client
    from ..client import Document

_LINES: Final = frozenset({".ndjson", ".jsonl"})
_BATCH = click.argument("batch")
_WAIT = click.option(
    "--wait", is_flag=True, help="Return when it has ended: exit status 0 done, 1 failed or cancelled."
)


@click.group("batch")
def batch_group() -> None:
    """Have a service rate many panels at once.

    The service is at --server; where it has keys, yours is in the environment variable SCCR_KEY. Exit status: 2 bad
    input, 1 another refusal, each told in full.
    """


@batch_group.command("post")
@click.argument("panels", nargs=-1, required=True, type=click.Path(dir_okay=False, allow_dash=True))
@click.option("--record", is_flag=True, help="Keep each rating as a record.")
@_WAIT
@in_form
@of_service
def post_batch(panels: tuple[str, ...], record: bool, wait: bool, form: str, server: str) -> None:
    """Send panel documents as one batch: JSON files, and files of a document a line (.ndjson, .jsonl, or - for input).

    The lines go as they stand: one that cannot be rated has its problem in the results, and keeps no other from its
    rating. The documents are numbered from 1 as they come.
    """
    with service(server) as client:
        batch = client.create_batch(_documents(panels), record=record)
        _end(_waited(client, batch) if wait else batch, form, wait=wait)


@batch_group.command("list")
@click.option(
    "--state",
    type=click.Choice(["receiving", "queued", "running", "done", "failed", "cancelled"]),
    help="Only those in this state.",
)
@in_form
@of_service
def list_batches(state: str | None, form: str, server: str) -> None:
    """List the batches, the newest first. json: a line each."""
    with service(server) as client:
        print_each(client.batches(state), form, _batch_line)


@batch_group.command("status")
@_BATCH
@_WAIT
@in_form
@of_service
def batch_status(batch: str, wait: bool, form: str, server: str) -> None:
    """Print how far a batch is."""
    with service(server) as client:
        found = client.batch(batch)
        _end(_waited(client, found) if wait else found, form, wait=wait)


@batch_group.command("results")
@_BATCH
@click.option("--after", default=0, show_default=True, type=click.IntRange(0), help="Only of lines after this one.")
@click.option("--output", "-o", type=click.File("w", encoding="utf-8", atomic=True), default="-", help="A file.")
@in_form
@of_service
def batch_results(batch: str, after: int, output: Any, form: str, server: str) -> None:
    """Print what became of the lines, in their order; of a batch under way, of those that are done.

    json: a line each, with the whole `result` or the whole `problem`.
    """
    with service(server) as client:
        for result in client.results(batch, after):
            click.echo(json.dumps(result, ensure_ascii=False) if form == "json" else _result_text(result), output)


@batch_group.command("cancel")
@_BATCH
@in_form
@of_service
def cancel_batch(batch: str, form: str, server: str) -> None:
    """Begin no further line of a batch; what is done stays."""
    with service(server) as client:
        _end(client.cancel_batch(batch), form, wait=False)


def _documents(names: tuple[str, ...]) -> "Iterator[Document | bytes]":
    for name in names:
        if name == "-":
            yield from _lines(sys.stdin.buffer)
        elif Path(name).suffix.lower() in _LINES:
            try:
                with Path(name).open("rb") as opened:
                    yield from _lines(opened)
            except OSError as error:
                raise click.UsageError(f"{name}: {error.strerror}") from error
        else:
            yield document_of(name)


def _lines(opened: Any) -> Iterator[bytes]:
    for line in opened:
        yield line.rstrip(b"\r\n")


def _waited(client: "Client", batch: "Batch") -> "Batch":
    try:
        return client.wait_for_batch(batch["id"], pause=0.5)
    except TimeoutError as error:
        raise click.ClickException(str(error)) from error


def _end(batch: "Batch", form: str, *, wait: bool) -> None:
    click.echo(as_json(batch) if form == "json" else _batch_line(batch))
    sys.exit(FAILED if wait and batch["state"] != "done" else 0)


def _batch_line(batch: Any) -> str:
    failed = f", {batch['failed']} of them not rated" if batch["failed"] else ""
    reason = f": {batch['reason']}" if batch["reason"] else ""
    done = f"{batch['done']} of {'?' if batch['total'] is None else batch['total']} lines done{failed}"
    return f"{batch['id']}  {batch['state']}{reason}, {done}, {minute(batch['created_at'])} by {batch['created_by']}"


def _result_text(result: Any) -> str:
    head = f"{result['line']:>6}  "
    if "problem" in result:
        problem = result["problem"]
        lines = [f"{problem['title']}: {problem['detail']}"]
        lines += [
            f"  {each['pointer'] or '(document)'}: {each['detail']} [{each['code']}]" for each in problem["errors"]
        ]
        return head + f"\n{' ' * len(head)}".join(lines)
    told, kept = result["result"], f"  record {result['record']}" if "record" in result else ""
    rated = told["rating"]["text"] if told["rating"] else f"withheld: {_why(told)}"
    return f"{head}{told['panel']['designation']}  {rated}{kept}"


def _why(result: Any) -> str:
    return "; ".join(each["message"] for each in result["findings"] if each["severity"] == "error")
