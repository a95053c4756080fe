"""The store after a fault: all that was acknowledged is there and whole, and nothing else but what is waited for."""

import json
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from typing import Any

from click.testing import CliRunner
from sqlalchemy import func
from sqlalchemy import select

from api.command_line import main
from api.store import Record
from api.store import Store
from api.store import open_store
from api.store import tables
from tests.work.serving import eventually

from .asking import LINES
from .asking import Load
from .asking import is_right
from .asking import panel
from .ledger import Acknowledged
from .ledger import Ledger


@dataclass(frozen=True, slots=True)
class Held:
    """What the acknowledged things were, and what of them is lost or wrong."""

    acknowledged: int
    losses: list[str]
    faults: list[str]

    def __add__(self, other: "Held") -> "Held":
        losses, faults = self.losses + other.losses, self.faults + other.faults
        return Held(self.acknowledged + other.acknowledged, losses, faults)


NOTHING = Held(0, [], [])


def held(load: Load, database: str | None = None, *, complete: bool = True) -> Held:
    """Hold a store against what callers were told: that of the service, once it has done its batches, or a copy.

    complete: the ledger has all that was ever asked, so that nothing else may be in the store. Otherwise it has what
    was acknowledged before some moment: that is in it, and nothing is half in it.
    """
    live, database, ledger = database is None, database or load.served.database, load.ledger
    batches = [each.answer["id"] for each in ledger.of("batch")]
    losses: list[str] = []
    with closing(open_store(database)) as store:
        if live and not eventually(lambda: not _under_way(store), 60):
            losses += [f"the batch {id} does not end" for id in batches if not _is_done(store, id)]
        records = {record.id: record for record in _records(store)}
        losses += _lost(store, ledger, records)
        faults = [*_damaged(store, records), *_apart(store, records)]
        if complete:
            faults += _too_many(store, ledger, records)
    return Held(len(ledger.acknowledged), losses, [*faults, *verified(database, len(records))])


def verified(database: str, count: int) -> list[str]:
    """Return what `sccr verify` finds wrong with the records, of which there are so many."""
    ended = CliRunner().invoke(main, ["verify", "--database", database])
    told = "1 record" if count == 1 else f"{count} records"
    if ended.exit_code == 0 and ended.stdout == f"{told} rated again: 0 differ\n":
        return []
    return [f"sccr verify: {ended.stdout[-500:]}{ended.stderr[-500:]}"]


def _under_way(store: Store) -> bool:
    return any(store.batches(limit=1, state=state).items for state in ("queued", "running"))


def _is_done(store: Store, batch: str) -> bool:
    found = store.batch(batch)
    return found is not None and found.state == "done"


def _records(store: Store) -> Iterator[Record]:
    after: str | None = None
    while True:
        page = store.records(after, 200)
        yield from page.items
        after = page.next
        if after is None:
            return


def _lost(store: Store, ledger: Ledger, records: dict[str, Record]) -> Iterator[str]:
    """Yield what was acknowledged and is not as it was answered."""
    check = {"revision": _revision_lost, "record": _record_lost, "part": _part_lost, "batch": _batch_lost}
    for each in ledger.acknowledged:
        if lost := check[each.sent.kind](store, records, each):
            yield f"{each.sent.kind} {each.sent.path}: {lost}"


def _revision_lost(store: Store, records: dict[str, Record], each: Acknowledged) -> str:
    answer = each.answer
    found = store.revision(answer["order"], answer["designation"], answer["revision"])
    if found is None or found.record_id != answer["record"]:
        return "the revision is not there"
    return _not_as_answered(records.get(found.record_id), each.sent.expected, answer["result"])


def _record_lost(store: Store, records: dict[str, Record], each: Acknowledged) -> str:
    return _not_as_answered(records.get(each.answer["id"]), each.sent.expected, each.answer["result"])


def _not_as_answered(record: Record | None, designation: str, answered: Any) -> str:
    if record is None:
        return "the record is not there"
    return "" if record.document == panel(designation) and record.result == answered else "not what was answered"


def _part_lost(store: Store, records: dict[str, Record], each: Acknowledged) -> str:
    found = store.part(each.sent.expected)
    return "" if found is not None and f'"{found.etag}"' == each.headers["ETag"] else "not there as it was answered"


def _batch_lost(store: Store, records: dict[str, Record], each: Acknowledged) -> str:
    """A batch whose lines are rated comes with each of them once, in order, and with a record each."""
    batch = store.batch(each.answer["id"])
    if batch is None or batch.total != LINES:
        return "the batch is not there, or has other lines"
    told = [json.loads(result.result) for result in store.results(batch.id)]
    names = [line["result"]["panel"]["designation"] if line["status"] == 200 else None for line in told]
    if names != each.sent.expected[: len(told)] or [line["line"] for line in told] != list(range(1, len(told) + 1)):
        return f"its lines come out as {[(line['line'], line['status']) for line in told]}"
    if not all(is_right(line["result"]) for line in told):
        return "a line has a wrong rating"
    each_line = zip(told, names, strict=True)
    wrong = (_not_as_answered(records.get(line["record"]), name, line["result"]) for line, name in each_line)
    return next(filter(None, wrong), "")


def _damaged(store: Store, records: dict[str, Record]) -> Iterator[str]:
    yield from (f"the record {record.id} is damaged" for record in records.values() if not record.intact)
    yield from (
        f"the record {record.id} has a wrong rating" for record in records.values() if not is_right(record.result)
    )
    if not store.check():
        yield "the schema is not the newest"
    if store.dialect == "sqlite":
        with store._reading() as connection:
            told = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
            astray = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        if told != ["ok"] or astray:
            yield f"the file is damaged: {told[:3]} {astray[:3]}"


def _apart(store: Store, records: dict[str, Record]) -> Iterator[str]:
    """Yield what is there by half: a revision without its record, a count that is not that of what is counted."""
    revisions, items, batches, panels = tables.revisions.c, tables.batch_items.c, tables.batches.c, tables.panels.c
    with store._reading() as connection:
        rows = connection.execute(
            select(revisions.order_id, revisions.designation, revisions.revision, revisions.record_id)
        )
        placed = {row.record_id: tuple(row[:3]) for row in rows}
        newest = connection.execute(select(panels.order_id, panels.designation, panels.newest)).all()
        counts = connection.execute(
            select(batches.id, batches.lines, batches.done, func.count(items.line), func.count(items.result))
            .join_from(tables.batches, tables.batch_items, isouter=True)
            .group_by(batches.id, batches.lines, batches.done)
        ).all()
    own = {id: (r.order, r.designation, r.revision) for id, r in records.items() if r.order is not None}
    if placed != own:
        yield f"revisions and records are not pairs: {list(placed.items() ^ own.items())[:3]}"
    numbers = Counter((order, designation) for order, designation, _ in placed.values())
    yield from (f"the revisions of {row} have gaps" for row in newest if numbers[row[0], row[1]] != row.newest)
    yield from (f"the batch {row} counts wrong" for row in counts if tuple(row[1:3]) != tuple(row[3:]))
    version = store.catalogue_version()
    if version is not None and len(store.part_digests(version.number)) != version.parts:
        yield "the catalogue has other parts than its version says"


def _too_many(store: Store, ledger: Ledger, records: dict[str, Record]) -> Iterator[str]:
    """Yield what was done twice: everything that was begun has been acknowledged by now."""
    lines = LINES * len(ledger.of("batch"))
    if len(records) != len(ledger.of("revision", "record")) + lines:
        yield f"{len(records)} records of {len(ledger.of('revision', 'record'))} requests and {lines} lines"
    begun = Counter(each.state for each in store.batches(limit=10_000).items)
    if begun["done"] != len(ledger.of("batch")) or begun["queued"] or begun["running"]:
        yield f"{dict(begun)} batches, {len(ledger.of('batch'))} acknowledged"
    parts = {stored.part for stored in store.every_part()}
    if parts != {each.sent.expected for each in ledger.of("part")}:
        yield "the catalogue has parts that were not acknowledged"
