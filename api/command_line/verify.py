"""`sccr verify`: every record rated again by the engine of today, and each difference told."""

import json
import sys
from collections.abc import Iterator
from dataclasses import asdict
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from typing import Any
from typing import Final

import click

from sccr import SccrError
from sccr import rate
from sccr.comparison import compare

from .installation import installed_store
from .installation import of_installation

if TYPE_CHECKING:
    from ..store import Record
    from ..store import Store

DIFFERENT: Final = 1
_PAGE: Final = 200
#: What a rating was made by: it differs by itself after each release, and is no difference of the rating.
_METHOD: Final = "method"


@dataclass(frozen=True, slots=True)
class Difference:
    """A record that is no longer what it was: why in sentences, and the members of the result that differ."""

    record: str
    order: str | None
    designation: str
    revision: int | None
    asked_at: str
    engine_version: str
    why: tuple[str, ...]
    differing: tuple[str, ...]


@click.command("verify")
@click.argument("records", nargs=-1)
@click.option("--order", help="Only the records of this order.")
@click.option("--part", help="Only the records of panels that name this part.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@of_installation
def verify_command(
    records: tuple[str, ...], order: str | None, part: str | None, form: str, database: str | None, data: Path | None
) -> None:
    """Rate the stored records again, each with the catalogue of its time, and list every difference.

    All records, or those that are named; none is changed. json: a line a difference. A copy that `sccr backup` made is
    verified with --database sqlite:////folder/copy.db.

    Exit status: 0 all are the same, 1 some differ, 2 a record that is named is not there.
    """
    count, different = 0, 0
    with installed_store(database, data) as store:
        for record in _wanted(store, records, order, part):
            count += 1
            found = difference(store, record)
            if found is not None:
                different += 1
                click.echo(json.dumps(asdict(found), ensure_ascii=False) if form == "json" else _text(found))
    told = "1 record" if count == 1 else f"{count} records"
    click.echo(f"{told} rated again: {different} differ{'s' if different == 1 else ''}", err=form == "json")
    sys.exit(DIFFERENT if different else 0)


def difference(store: "Store", record: "Record") -> Difference | None:
    """Return how a record differs from what the engine of today gives with the same catalogue; None: not at all."""
    if not record.intact:
        return _difference(record, ["the record is damaged: it no longer has the digest that it was stored with"], [])
    try:
        catalogue = None
        if record.catalogue_version is not None:
            catalogue = store.catalogue_for(record.document, record.catalogue_version)
        today = json.loads(json.dumps(rate(record.document, catalogue).as_dict()))
    except SccrError as error:
        return _difference(record, [f"the document is refused today: {error}"], [])
    differing = list(_differing("", record.result, today))
    if not differing:
        return None
    return _difference(record, compare(record.result, today, record.document, record.document).why, differing)


def _difference(record: "Record", why: Any, differing: list[str]) -> Difference:
    return Difference(
        record=record.id,
        order=record.order,
        designation=record.document["panel"]["designation"],
        revision=record.revision,
        asked_at=record.asked_at,
        engine_version=record.engine_version,
        why=tuple(why),
        differing=tuple(differing),
    )


def _wanted(store: "Store", ids: tuple[str, ...], order: str | None, part: str | None) -> "Iterator[Record]":
    if ids:
        if order is not None or part is not None:
            raise click.UsageError("name records, or say --order and --part")
        yield from (_named(store, id) for id in ids)
        return
    after = None
    while True:
        page = store.records(after, _PAGE, order=order, part=part)
        yield from page.items
        if page.next is None:
            return
        after = page.next


def _named(store: "Store", id: str) -> "Record":
    found = store.record(id)
    if found is None:
        raise click.UsageError(f"there is no record {id}")
    return found


def _differing(place: str, old: Any, new: Any) -> Iterator[str]:
    """Yield the JSON Pointers at which two results differ, each as deep as it goes."""
    if isinstance(old, dict) and isinstance(new, dict):
        for name in [*old, *(name for name in new if name not in old)]:
            if place or name != _METHOD:
                step = f"{place}/{name.replace('~', '~0').replace('/', '~1')}"
                yield from _differing(step, old.get(name), new.get(name)) if name in old and name in new else [step]
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for number, (one, other) in enumerate(zip(old, new, strict=True)):
            yield from _differing(f"{place}/{number}", one, other)
    elif old != new:
        yield place


def _text(found: Difference) -> str:
    of = f"order {found.order}, {found.designation}" if found.order else found.designation
    revision = f" revision {found.revision}" if found.revision else ""
    lines = [f"{found.record}  {of}{revision}, {found.asked_at}, engine {found.engine_version}"]
    lines += [f"  {reason}" for reason in found.why]
    if found.differing:
        lines.append(f"  differs at {', '.join(found.differing)}")
    return "\n".join(lines)
