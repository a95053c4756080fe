"""`sccr compare`: two revisions of a panel, and why the rating moved."""

import json
import sys
from collections.abc import Mapping
from typing import Any

import click

from sccr import InvalidDocument
from sccr import MalformedJson
from sccr import rate
from sccr.comparison import compare
from sccr.schema.strict_json import decode

from .rate import BAD_INPUT
from .rate import complain
from .rate import read
from .rate import read_catalogue

DIFFERENT = 1


@click.command("compare")
@click.argument("before", type=click.Path(dir_okay=False, allow_dash=True))
@click.argument("after", type=click.Path(dir_okay=False, allow_dash=True))
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--catalogue", "catalogue_file", type=click.Path(exists=True, dir_okay=False), help="A catalogue file.")
def compare_command(before: str, after: str, form: str, catalogue_file: str | None) -> None:
    """Compare two panel documents: what changed, and why the rating moved.

    Exit status: 0 the ratings read the same, 1 they differ, 2 bad input.
    """
    catalogue = read_catalogue(catalogue_file)
    documents, ratings = [], []
    for name in (before, after):
        try:
            document = decode(read(name))
            ratings.append(rate(document, catalogue).as_dict())
            documents.append(document)
        except (InvalidDocument, MalformedJson) as error:
            complain(name, error)
    if len(ratings) < 2:
        sys.exit(BAD_INPUT)
    found = compare(ratings[0], ratings[1], documents[0], documents[1])
    if form == "json":
        click.echo(json.dumps(found.as_dict(), ensure_ascii=False, indent=2))
    else:
        click.echo(comparison_text(found.as_dict()), nl=False)
    sys.exit(0 if found.same else DIFFERENT)


def comparison_text(found: Mapping[str, Any]) -> str:
    """Return a comparison, as `Comparison.as_dict()` has it, as lines."""
    lines = [f"before  {found['before']}", f"after   {found['after']}", ""]
    lines += [f"  {reason}" for reason in found["why"]]
    lines += _section("Added", found["added"]) + _section("Removed", found["removed"])
    lines += _section("Changed in the documents", [f"{c['where']}: {c['field']}" for c in found["changed"]])
    lines += _section(
        "Values that moved",
        [
            f"{m['component']}: {_amperes(m['before_amperes'])} to {_amperes(m['after_amperes'])}"
            for m in found["moved"]
        ],
    )
    if found["diverges"] is not None:
        steps = [f"{which:<6}  {_step(found['diverges'][which])}" for which in ("before", "after")]
        lines += _section("First step of the derivation that differs", steps)
    return "\n".join(lines) + "\n"


def _section(heading: str, items: list[str]) -> list[str]:
    return ["", heading, *(f"  {item}" for item in items)] if items else []


def _step(step: Mapping[str, Any] | None) -> str:
    if step is None:
        return "none: the derivation ends before it"
    return f"{step['number']} {step['clause']} {step['component'] or ''}: {step['statement']}"


def _amperes(value: float | None) -> str:
    return "no value" if value is None else f"{value:g} A"
