"""`sccr parts`: the catalogue of a service."""

import sys
from functools import partial
from typing import Any
from typing import Final

import click

from .desk import as_json
from .desk import document_of
from .desk import etag_of
from .desk import form_of
from .desk import if_match
from .desk import in_form
from .desk import minute
from .desk import of_service
from .desk import print_each
from .desk import put
from .desk import quoted
from .desk import service
from .desk import to_be_new
from .desk import write
from .rate import BAD_INPUT
from .rate import read

#: The forms of tables, by the endings of files.
_TABLES: Final = {"csv": "csv", "xlsx": "xlsx", "json": "json"}
_PART = click.argument("part")
_VERSION = click.option("--version", type=click.IntRange(1), help="Of the catalogue.  [default: the newest]")
_AS = click.option("--as", "table", type=click.Choice([*_TABLES]), help="[default: as the file ends; else csv]")


@click.group("parts")
def parts_group() -> None:
    """Search and change the catalogue of a service.

    The service is at --server; where it has keys, yours is in the environment variable SCCR_KEY. Exit status: 2 bad
    input, 1 another refusal, each told in full.
    """


@parts_group.command("get")
@_PART
@_VERSION
@in_form
@of_service
def get_part(part: str, version: int | None, form: str, server: str) -> None:
    """Print a part. Its ETag goes to standard error."""
    with service(server) as client:
        found = client.part(part, version)
    _print_part(found.value, found.etag, form)


@parts_group.command("put")
@click.argument("file", type=click.Path(dir_okay=False, allow_dash=True))
@if_match
@to_be_new
@in_form
@of_service
def put_part(file: str, if_match: str | None, new: bool, form: str, server: str) -> None:
    """Put a part, a JSON FILE as `sccr parts get --format json` prints one, into the catalogue.

    Without --if-match and --new the ETag of the present part is read first, and used; where there is none yet, it is
    new. Of two who put at the same moment one is refused even so.
    """
    document = document_of(file)
    name = document.get("part")
    if not isinstance(name, str) or not name:
        click.echo(
            f"{file}: 1 problem\n  /part: it does not say which part it is; write its number [missing]", err=True
        )
        sys.exit(BAD_INPUT)
    with service(server) as client:
        stored = put(partial(client.put_part, document), partial(client.part, name), if_match, new)
    _print_part(stored.value, stored.etag, form)


@parts_group.command("delete")
@_PART
@if_match
@of_service
def delete_part(part: str, if_match: str | None, server: str) -> None:
    """Take a part out of the catalogue; versions before keep it. Without --if-match its present ETag is read first."""
    with service(server) as client:
        etag = if_match or etag_of(partial(client.part, part))
        if etag is None:
            raise click.ClickException(f"there is no part {part}")
        client.delete_part(part, if_match=quoted(etag))
    click.echo(f"{part} is deleted")


@parts_group.command("search")
@click.option("--kind", help="Such as circuit_breaker.")
@click.option("--poles", type=click.IntRange(1, 4))
@click.option("--voltage", help='Of the circuit, such as "480Y/277 V".')
@click.option("--system", help="Of the circuit, such as ungrounded_delta.")
@click.option("--supply", type=click.Choice(["ac", "dc"]))
@click.option("--amperes-min", help='The least ampere rating, such as "30 A".')
@click.option("--amperes-max", help="The highest.")
@click.option("--interrupting", help='The least interrupting rating, such as "22 kA", at --voltage if one is given.')
@click.option("--standard", help='The name of a standard, or its first words, such as "UL 489" or CSA.')
@click.option("--accessory", help="The whole name of an accessory.")
@click.option("--mounting", help="The whole name of a mounting.")
@click.option("--text", help="What stands in the number or the description.")
@_VERSION
@in_form
@of_service
def search_parts(form: str, server: str, **filters: Any) -> None:
    """List the parts that meet every filter, by their numbers. json: a line each."""
    with service(server) as client:
        print_each(client.parts(**filters), form, _part_line)


@parts_group.command("import")
@click.argument("file", type=click.Path(dir_okay=False, allow_dash=True))
@_AS
@click.option("--dry-run", is_flag=True, help="Only say what would come of it.")
@click.option("--replace", is_flag=True, help="Delete the parts that are not in the table.")
@click.option("--note", help="What for; kept with the version of the catalogue.")
@click.option("--if-match", metavar="ETAG", help="Only where the catalogue is in this state.")
@in_form
@of_service
def import_parts(
    file: str,
    table: str | None,
    dry_run: bool,
    replace: bool,
    note: str | None,
    if_match: str | None,
    form: str,
    server: str,
) -> None:
    """Take in the parts of a table (.csv, .xlsx, .json), all of them or none.

    What is wrong with it is told by line and column; exit status 2.
    """
    body, table = read(file), form_of(file, table, _TABLES, "csv")
    with service(server) as client:
        report = client.import_parts(
            body,
            table,
            dry_run=dry_run,
            mode="replace" if replace else None,
            note=note,
            if_match=None if if_match is None else quoted(if_match),
        )
    click.echo(as_json(report) if form == "json" else _import_text(report))
    for problem in report["problems"] if form == "text" else ():
        click.echo(f"  line {problem['line']}, {problem['column']}: {problem['detail']} [{problem['code']}]", err=True)
    sys.exit(0 if report["valid"] else BAD_INPUT)


@parts_group.command("export")
@click.option(
    "--output", "-o", default="-", show_default=True, help="A file (.csv, .xlsx, .json); - is standard output."
)
@_AS
@_VERSION
@of_service
def export_parts(output: str, table: str | None, version: int | None, server: str) -> None:
    """Write all parts of a version of the catalogue; `sccr parts import` takes them back unchanged."""
    table = form_of(output, table, _TABLES, "csv")
    with service(server) as client:
        write(client.export_parts(table, version).content, output, binary=table == "xlsx")


@parts_group.command("versions")
@in_form
@of_service
def list_versions(form: str, server: str) -> None:
    """List the versions of the catalogue, the newest first. json: a line each."""
    with service(server) as client:
        print_each(client.catalogue_versions(), form, _version_line)


def _print_part(part: dict[str, Any], etag: str, form: str) -> None:
    if form == "json":
        click.echo(as_json(part))
    else:
        width = max(map(len, part))
        for name, value in part.items():
            click.echo(f"{name:<{width}}  {_words(value)}")
    click.echo(f"ETag {etag}", err=True)


def _words(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name} {_words(each)}" for name, each in value.items())
    return "; ".join(map(_words, value)) if isinstance(value, list) else str(value)


def _part_line(part: dict[str, Any]) -> str:
    poles = f"{part['poles']} poles" if "poles" in part else None
    told = (part["part"], part["kind"], part.get("ampere_rating"), poles, part.get("description"))
    return "  ".join(each for each in told if each)


def _import_text(report: Any) -> str:
    counts = ", ".join(f"{report[name]} {name}" for name in ("added", "changed", "removed", "unchanged"))
    if not report["valid"]:
        return f"{report['rows']} rows, {len(report['problems'])} wrong: nothing would be imported"
    if report["dry_run"]:
        return f"{report['rows']} rows, nothing wrong; it would be: {counts}"
    return f"{report['rows']} rows: {counts}; the catalogue is at version {report['catalogue_version']}"


def _version_line(version: Any) -> str:
    note = f"  {version['note']}" if version["note"] else ""
    made = f"{minute(version['created_at'])} by {version['created_by']}"
    return f"{version['number']}  {version['parts']} parts  {made}, digest {version['digest'][:12]}…{note}"
