"""`sccr upgrade`: the cheapest way up."""

import json
import sys
from typing import Any

import click

from sccr import Catalogue
from sccr import InvalidDocument
from sccr import MalformedJson
from sccr.schema.misread import QuantityError
from sccr.schema.quantity import current
from sccr.schema.strict_json import decode
from sccr.units import current_text

from .rate import BAD_INPUT
from .rate import complain
from .rate import read
from .rate import read_catalogue

BLOCKED = 1


@click.command("upgrade")
@click.argument("panel", type=click.Path(dir_okay=False, allow_dash=True))
@click.option("--catalogue", "catalogue_file", required=True, type=click.Path(exists=True, dir_okay=False))
@click.option(
    "--target", "targets", multiple=True, help='The rating wanted, such as "65 kA"; several give a staircase.'
)
@click.option("--objective", type=click.Choice(["price", "changes", "labour"]), default="price", show_default=True)
@click.option("--seconds", default=10.0, show_default=True, type=click.FloatRange(0.1), help="Most time for a plan.")
@click.option("--alternatives", default=2, show_default=True, type=click.IntRange(0, 20), help="Next best plans.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def upgrade_command(
    panel: str,
    catalogue_file: str,
    targets: tuple[str, ...],
    objective: str,
    seconds: float,
    alternatives: int,
    form: str,
) -> None:
    """Find the least change of parts that lifts a panel to a target, proved by re-rating the changed panel.

    Without a target: the document's own, else its highest available fault current. Exit status: 0 reached,
    1 out of reach with the parts of the catalogue, 2 bad input.
    """
    try:
        from sccr.upgrade import plan
    except ModuleNotFoundError as missing:
        raise click.ClickException(f"plans need the solver ({missing}): pip install 'sccr[upgrade]'") from missing
    document, catalogue = _read(panel, catalogue_file)
    options: dict[str, Any] = {"objective": objective, "time_limit": seconds, "alternatives": alternatives}
    try:
        found = [plan(document, catalogue, target, **options) for target in _targets(targets)]
    except InvalidDocument as error:
        complain(panel, error)
        sys.exit(BAD_INPUT)
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    for answer in found:
        told = answer.as_dict()
        click.echo(json.dumps(told, ensure_ascii=False) if form == "json" else _text(answer))
    sys.exit(0 if all(answer.best is not None for answer in found) else BLOCKED)


def _read(panel: str, catalogue_file: str) -> tuple[dict[str, Any], Catalogue]:
    catalogue = read_catalogue(catalogue_file)
    assert catalogue is not None  # the option is required
    try:
        return decode(read(panel)), catalogue
    except (InvalidDocument, MalformedJson) as error:
        complain(panel, error)
        sys.exit(BAD_INPUT)


def _targets(texts: tuple[str, ...]) -> list[int | None]:
    try:
        return [current(text) for text in texts] or [None]
    except QuantityError as error:
        raise click.UsageError(f"--target {' '.join(texts)}: {error}") from error


def _text(answer: Any) -> str:
    head = f"to {current_text(answer.target)} by {answer.objective}"
    if answer.best is None:
        lines = [f"{head}: out of reach with these parts"]
        return "\n".join([*lines, *(f"  {block.component}: {block.reason}" for block in answer.blocked)])
    proof = "proved the least" if answer.proved else f"not proved: at least {answer.bound:f}"
    lines = [f"{head}: {answer.best.cost:f}, {proof}", *_changes(answer.best)]
    lines.append(f"  then rated {answer.best.rating.rating.text}")
    for other in answer.alternatives:
        lines += [f"or {other.cost:f}", *_changes(other)]
    return "\n".join(lines)


def _changes(plan: Any) -> list[str]:
    if not plan.changes:
        return ["  nothing need be changed"]
    return [
        f"  {c.action} {c.component}: {c.before + ' → ' if c.before else ''}{c.after}"
        f"{f', {c.price:f}' if c.price is not None else ''}{', on hand' if c.on_hand else ''}"
        for c in plan.changes
    ]
