"""`sccr fault`: what stands upstream of a panel in, the available fault current out."""

import json
import sys
from datetime import date as day
from typing import Any

import click

from sccr import InvalidDocument
from sccr import MalformedJson

from .rate import BAD_INPUT
from .rate import complain
from .rate import read

NOT_ESTABLISHED = 3


@click.command("fault")
@click.argument("site", type=click.Path(dir_okay=False, allow_dash=True))
@click.option("--format", "form", type=click.Choice(["text", "json", "markdown"]), default="text", show_default=True)
@click.option("--record", "recorded", is_flag=True, help="Print the dated record (json; else markdown) to be filed.")
@click.option("--date", help="The date of the calculation, such as 2026-03-31, for the record.  [default: today]")
@click.option("--derivation", is_flag=True, help="Print every step of the derivation (text).")
@click.option("--width", type=click.IntRange(60, 400), help="Columns of the text; default: the terminal's.")
def fault_command(site: str, form: str, recorded: bool, date: str | None, derivation: bool, width: int | None) -> None:
    """Calculate the fault current available at the supply terminals of a panel, and at every point before them.

    SITE is a document of the format "site/1": the utility, and what stands behind it. The record is what NEC 409.22(B)
    and 670.5 ask to be documented. Exit status: 0 established, 3 not established (an error finding), 2 bad input.
    """
    from sccr.fault_current import fault_current
    from sccr.fault_current import record
    from sccr.schema.site import load_site
    from sccr.schema.strict_json import decode

    calculated = _date(date)
    try:
        document = decode(read(site))
        found = fault_current(load_site(document))
    except (InvalidDocument, MalformedJson) as error:
        complain(site, error)
        sys.exit(BAD_INPUT)
    if recorded and found.available is not None:
        _print_record(record(found, calculated, document), form)
    elif recorded:
        click.echo(f"{site}: there is no available fault current to document", err=True)
        for each in found.findings:
            if each.severity == "error":
                click.echo(f"  {each.element or 'site'}: {each.message} [{each.code}]", err=True)
    else:
        _print(found.as_dict(), form, derivation, width)
    sys.exit(0 if found.available is not None else NOT_ESTABLISHED)


def _date(written: str | None) -> str:
    if written is None:
        return day.today().isoformat()
    try:
        return day.fromisoformat(written).isoformat()
    except ValueError as error:
        raise click.UsageError(f"--date {written}: is no date; write one such as 2026-03-31") from error


def _print_record(made: dict[str, Any], form: str) -> None:
    if form == "json":
        click.echo(json.dumps(made, ensure_ascii=False, indent=2))
        return
    from .fault_markdown import record_markdown

    click.echo(record_markdown(made), nl=False)


def _print(answer: dict[str, Any], form: str, derivation: bool, width: int | None) -> None:
    if form == "json":
        click.echo(json.dumps(answer, ensure_ascii=False, indent=2))
    elif form == "markdown":
        from .fault_markdown import fault_markdown

        click.echo(fault_markdown(answer), nl=False)
    else:
        from shutil import get_terminal_size

        from .fault_text import fault_text

        columns = width or max(60, get_terminal_size((120, 24)).columns)
        click.echo(fault_text(answer, columns, sys.stdout.isatty(), derivation), nl=False)
