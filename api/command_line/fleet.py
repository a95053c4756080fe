"""`sccr fleet`: which stored panels a changed catalogue, table or engine changes, from what to what."""

import json
import sys
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from typing import Any
from typing import Final
from typing import TextIO

import click

from sccr import InvalidDocument
from sccr import MalformedJson
from sccr.schema.exchange import UnsupportedTable
from sccr.schema.exchange import import_table
from sccr.schema.strict_json import decode

from .desk import service
from .installation import installed_store
from .installation import of_installation
from .rate import BAD_INPUT
from .rate import complain
from .rate import read
from .workers import of_workers
from .workers import progress
from .workers import require_workers
from .workers import who_rates

if TYPE_CHECKING:
    from ..fleet.ledger import Ledger
    from ..fleet.run import Run

Json = Mapping[str, Any]

#: Some panels change; a shipped one can no longer stand as it is marked.
CHANGED: Final = 1
SHIPPED_FAILS: Final = 3

_FORMAT: Final = "impact/1"
_MOST_SHOWN: Final = 50

_file = click.Path(exists=True, dir_okay=False)


@click.group("fleet")
def fleet_group() -> None:
    """The panels that are stored, all together."""


@fleet_group.command("rerate")
@click.option("--catalogue", "catalogue_file", type=_file, help="The catalogue as it is to be: JSON, CSV or XLSX.")
@click.option("--parts", "parts_file", type=_file, help="Parts as they are to be; all others stay. JSON, CSV or XLSX.")
@click.option("--full", is_flag=True, help="Rate every panel, touched or not: a check, which must find the same.")
@click.option("--format", "form", type=click.Choice(["text", "json", "csv"]), default="text", show_default=True)
@click.option("--output", "-o", type=click.File("w", encoding="utf-8", atomic=True), default="-", help="A file.")
@click.option("--most", default=_MOST_SHOWN, show_default=True, type=click.IntRange(0), help="So many in the text.")
@click.option("--width", type=click.IntRange(60, 400), help="Columns of the text; default: the terminal's.")
@of_workers
@click.option("--server", help="Ask the service there, with the key in SCCR_KEY, in place of a database.")
@of_installation
def rerate_command(
    catalogue_file: str | None,
    parts_file: str | None,
    full: bool,
    server: str | None,
    workers: str | None,
    **more: Any,
) -> None:
    """Hold the stored panels against a changed catalogue, and against the engine of today.

    The newest revision of each panel and every one that was shipped are rated again, as far as the change touches them:
    those that name a part which is not what it was when they were rated, and all that were rated by another engine or
    other tables. Without a file the newest stored catalogue is meant. The worst comes first. Nothing is changed, and
    nothing is stored.

    Exit status: 0 nothing changes, 1 something does, 3 a shipped panel can no longer be rated or lies below its
    available fault current now, 2 bad input.
    """
    require_workers(workers)
    document = {"format": _FORMAT, "scope": "all" if full else "touched", **_catalogue(catalogue_file, parts_file)}
    database, data = more.pop("database"), more.pop("data")
    try:
        found = _asked(server, document) if server is not None else _here(database, data, document, workers)
        with found as (summary, impacts):
            _print(summary, impacts, **more)
            counts = summary["counts"]
    except InvalidDocument as error:
        complain(catalogue_file or parts_file or "-", error)
        sys.exit(BAD_INPUT)
    sys.exit(SHIPPED_FAILS if counts["shipped_failing"] else CHANGED if counts["changed"] else 0)


@contextmanager
def _here(
    database: str | None, data: Path | None, document: Json, workers: str | None
) -> Iterator[tuple[Json, Iterable[Json]]]:
    """Yield what comes of a run over the panels of a database, rated by this machine."""
    with installed_store(database, data) as store:
        from ..fleet.asking import asked_of
        from ..fleet.ledger import Ledger
        from ..fleet.run import Run

        asked = asked_of(document)
        run = Run.over(store, asked.propose(store), asked.scope)
        with Ledger() as ledger:
            _rate(run, ledger, workers)
            yield run.summary(ledger), map(json.loads, ledger.worst_first())


def _rate(run: "Run", ledger: "Ledger", workers: str | None) -> None:
    done = 0
    total = run.stored if run.scope == "all" else None  # how many are touched is known when they are found
    with who_rates(workers) as by, progress("panels rated", total) as tell:
        for count in run.rate(ledger, by):
            for _ in range(count):
                done += 1
                tell(done)


@contextmanager
def _asked(server: str, document: dict[str, Any]) -> Iterator[tuple[Json, Iterable[Json]]]:
    """Yield what comes of a run that a service makes."""
    with service(server) as client:
        told = client.impact(document)
        if "impacts" in told:
            yield told, told["impacts"]
            return
        run = client.wait_for_impact(told["id"], pause=0.5)
        if run["state"] != "done":
            raise click.ClickException(f"the run {run['id']} is {run['state']}: {run['reason'] or 'it was cancelled'}")
        yield run, client.impact_results(run["id"])


def _catalogue(catalogue_file: str | None, parts_file: str | None) -> dict[str, Any]:
    """Return what a file says of the catalogue, as the members of what is asked."""
    if catalogue_file is not None and parts_file is not None:
        raise click.UsageError("say --catalogue, all parts that there are, or --parts, those that differ; not both")
    if catalogue_file is not None:
        return {"catalogue": _read(catalogue_file)}
    return {} if parts_file is None else {"changed_parts": _read(parts_file)["parts"]}


def _read(name: str) -> dict[str, Any]:
    """Return the catalogue document that a file is or holds; what is none ends the command as bad input."""
    body = read(name)
    if not name.lower().endswith(".json"):
        return {"format": "catalogue/1", "parts": _table(name, body)}
    try:
        document = decode(body)
    except (InvalidDocument, MalformedJson) as error:
        complain(name, error)
        sys.exit(BAD_INPUT)
    if not isinstance(document, dict) or not isinstance(document.get("parts"), list):
        raise click.UsageError(f'{name}: is no catalogue: an object of the format "catalogue/1" with its parts')
    return document


def _table(name: str, body: bytes) -> list[dict[str, Any]]:
    try:
        table = import_table(body, name)
    except UnsupportedTable as error:
        raise click.UsageError(f"{name}: {error}; name a catalogue in JSON .json") from error
    for problem in table.problems:
        place = f"line {problem.line}" + (f", {problem.column}" if problem.column else "")
        click.echo(f"{name}: {place}: {problem.detail} [{problem.code}]", err=True)
    if table.problems:
        sys.exit(BAD_INPUT)
    return list(table.parts)


def _print(summary: Json, impacts: Iterable[Json], form: str, output: TextIO, most: int, width: int | None) -> None:
    """Print a run, entry by entry as they come: there may be very many."""
    if form == "json":
        _print_json(summary, impacts, output)
    elif form == "csv":
        from ..fleet.words import csv_lines

        for line in csv_lines(impacts):
            click.echo(line, output, nl=False)
    else:
        from shutil import get_terminal_size

        from .fleet_text import fleet_text

        columns = width or max(60, get_terminal_size((100, 24)).columns)
        click.echo(fleet_text(summary, impacts, columns, output.isatty(), most), output, nl=False)


def _print_json(summary: Json, impacts: Iterable[Json], output: TextIO) -> None:
    """Print one document, as the service answers it, with an impact on each line."""
    head = {name: value for name, value in summary.items() if name != "impacts"}
    click.echo(json.dumps(head, ensure_ascii=False)[:-1] + ', "impacts": [', output, nl=False)
    for number, each in enumerate(impacts):
        click.echo(("," if number else "") + "\n" + json.dumps(each, ensure_ascii=False), output, nl=False)
    click.echo("\n]}", output)
