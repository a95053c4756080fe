"""The fleet: the newest revision of each panel and every one that was shipped, walked by indexes."""

from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import event
from sqlalchemy import text

from api.store import IMPACTS
from api.store import RATINGS
from api.store import FinishedLine
from api.store import FleetMethod
from api.store import FleetPanel
from api.store import NewRecord
from api.store import PartState
from api.store import Put
from api.store import Store
from api.store import migrations
from api.store import open_store
from api.store.canonical import parsed
from api.store.changes import Delete

from .conftest import panel
from .conftest import rated


@pytest.fixture(scope="module")
def new() -> NewRecord:
    return rated(panel("two_weakest_links"))


def every(store: Store, limit: int = 500) -> list[FleetPanel]:
    found: list[FleetPanel] = []
    for method in store.fleet_methods():
        after: str | None = ""
        while after is not None:
            page = store.fleet_by_method(method, after, limit)
            assert len(page.items) <= limit
            found += page.items
            after = page.next
    return found


def places(panels: list[FleetPanel]) -> set[tuple[str, str, int, bool]]:
    return {(each.order, each.designation, each.revision, each.shipped_at is not None) for each in panels}


def test_the_newest_and_all_that_were_shipped_are_of_the_fleet(store: Store, new: NewRecord) -> None:
    for order, designation, revisions in (("A-1", "P-1", 3), ("A-1", "P-2", 1), ("A-2", "P-1", 4)):
        for _ in range(revisions):
            store.put_revision(order, designation, new)
    store.append_record(new)  # of no order
    for order, designation, number in (("A-1", "P-1", 1), ("A-2", "P-1", 2), ("A-2", "P-1", 4)):
        store.mark_shipped(order, designation, number, "dock")
    expected = {
        *(("A-1", "P-1", 1, True), ("A-1", "P-1", 3, False), ("A-1", "P-2", 1, False)),
        *(("A-2", "P-1", 2, True), ("A-2", "P-1", 4, True)),
    }
    found = every(store)
    assert places(found) == expected and len(found) == len(expected) == store.fleet_size()
    used = found[0].parts[0]
    assert places(list(store.fleet_naming(used).items)) == expected


def test_without_anything_there_is_no_fleet(store: Store) -> None:
    assert (store.fleet_size(), store.fleet_methods(), every(store)) == (0, (), [])
    assert store.fleet_naming("OAT").items == ()
    assert list(store.states_of_used_parts()) == []


@pytest.mark.parametrize("limit", [1, 2, 3, 500])
def test_each_comes_once_whatever_the_pages(store: Store, new: NewRecord, limit: int) -> None:
    for number in range(7):
        store.put_revision("A-1", f"P-{number}", new)
    found = every(store, limit)
    assert [each.record for each in found] == sorted({each.record for each in found})
    assert len(found) == 7
    after: str | None = ""
    by_part: list[FleetPanel] = []
    while after is not None:
        page = store.fleet_naming(found[0].parts[0], after, limit)
        by_part += page.items
        after = page.next
    assert by_part == found


def test_a_panel_is_known_by_its_method_and_its_parts(store: Store, new: NewRecord) -> None:
    store.apply_changes([Put({"part": "OAT", "kind": "motor"})], "desk")
    result = {**new.result, "method": {**new.result["method"], "engine_version": "0.0.1"}}
    store.put_revision("A-1", "P-1", replace(new, result=result, catalogue_version=1))
    store.put_revision("A-1", "P-2", new)
    method = new.result["method"]
    own = (method["edition"], method["tables_digest"])
    assert store.fleet_methods() == (
        FleetMethod("0.0.1", *own, 1),
        FleetMethod(method["engine_version"], *own, None),
    )
    [old] = store.fleet_by_method(FleetMethod("0.0.1", *own, 1)).items
    assert (old.designation, old.method.engine_version, old.method.catalogue_version) == ("P-1", "0.0.1", 1)
    named = {each["part"] for each in new.document["components"] if "part" in each}
    assert old.parts == tuple(sorted(named))


def test_the_states_of_a_part_are_those_of_the_versions(store: Store, new: NewRecord) -> None:
    store.put_revision("A-1", "P-1", new)
    used = sorted({each["part"] for each in new.document["components"] if "part" in each})[0]
    for changes in (
        [Put({"part": used, "kind": "motor"}), Put({"part": "UNUSED", "kind": "motor"})],
        [Put({"part": used, "kind": "motor", "description": "other"})],
        [Delete(used)],
        [Put({"part": used, "kind": "motor"})],
    ):
        store.apply_changes(changes, "desk")
    [(part, states)] = store.states_of_used_parts()
    assert part == used
    assert [(each.from_version, each.to_version) for each in states] == [(1, 2), (2, 3), (4, None)]
    assert states[0].digest == states[2].digest != states[1].digest
    held = [[version for version in range(1, 6) if each.holds(version)] for each in states]
    assert held == [[1], [2], [4, 5]]
    assert PartState("", 2, 2).holds(2) is False


def test_the_texts_of_a_record_are_those_that_are_kept(store: Store, new: NewRecord) -> None:
    revision = store.put_revision("A-1", "P-1", new)
    [(record, (document, result))] = store.record_texts([revision.record_id, "none"]).items()
    assert record == revision.record_id
    assert (parsed(document), parsed(result)) == (new.document, parsed(result))
    assert parsed(result)["document_digest"] == new.result["document_digest"]


def test_no_record_is_read_to_find_the_fleet(store: Store) -> None:
    """In SQLite a row of records with its long texts is many pages: what is walked is the index, and only that."""
    if store.dialect != "sqlite":
        return
    method = FleetMethod("0.1.0", "UL 508A:2018", "0", 1)
    plans = [plan(store, lambda: store.fleet_methods()), plan(store, lambda: store.fleet_by_method(method))]
    for found in plans:
        assert "COVERING INDEX ix_records_method" in found[0]
        assert not any("TEMP B-TREE" in step for step in found)
        assert not any(step.startswith("SCAN") for step in found[1:])
    by_part = plan(store, lambda: store.fleet_naming("OAT"))
    assert by_part[0].startswith("SEARCH record_parts USING PRIMARY KEY (part=? AND record_id>?)")
    assert not any("TEMP B-TREE" in step or step.startswith("SCAN") for step in by_part)


def plan(store: Store, ask: Any) -> list[str]:
    """How SQLite goes about the first statement of a call."""
    asked: list[Any] = []
    with store._reading():
        engine = store._connected()

    def note(_connection: Any, _cursor: Any, statement: str, parameters: Any, *_: Any) -> None:
        asked.append((statement, parameters))

    event.listen(engine, "before_cursor_execute", note)
    try:
        ask()
    finally:
        event.remove(engine, "before_cursor_execute", note)
    statement, parameters = next((s, p) for s, p in asked if s.startswith("SELECT"))
    with store._reading() as connection:
        rows = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)
        return [row[3] for row in rows]


class TestPlacedResults:
    """Results with an order of their own."""

    @staticmethod
    def made(store: Store, *given: int | None) -> str:
        batch = store.create_batch("ERP", {}, IMPACTS)
        store.add_lines(batch.id, [b"{}"] * len(given))
        store.seal(batch.id, {"known": "later"})
        store.claim_lines("worker", len(given))
        done = [FinishedLine(batch.id, n, f'"{n}"', place=place) for n, place in enumerate(given, 1)]
        store.finish_lines("worker", done)
        return batch.id

    @pytest.mark.parametrize("limit", [1, 2, 50])
    def test_they_come_by_place_and_line_and_those_without_are_left_out(self, store: Store, limit: int) -> None:
        batch = self.made(store, 30, None, 10, 30, 2_000, None, 10)
        found: list[tuple[int, int]] = []
        after: tuple[int, int] | None = None
        while True:
            page = store.placed_results(batch, after, limit)
            found += [(each.place, each.line) for each in page.items]
            if page.next is None:
                break
            place, _, line = page.next.partition("-")
            after = int(place), int(line)
        assert found == [(10, 3), (10, 7), (30, 1), (30, 4), (2_000, 5)]

    def test_they_are_counted_and_asked_for_by_classes(self, store: Store) -> None:
        batch = self.made(store, 30, None, 10, 130, 2**55, None, 199)
        assert store.placed_counts(batch, 100) == {0: 2, 1: 2, 2**55 // 100: 1}
        found = store.placed_results(batch, among=[(0, 20), (100, 200)])
        assert [each.place for each in found.items] == [10, 130, 199]

    def test_a_kind_of_batch_is_asked_for_by_its_name(self, store: Store) -> None:
        own, other = self.made(store, 1), store.create_batch("ERP").id
        assert store.batch(own, IMPACTS) is not None and store.batch(own, RATINGS) is None
        assert [each.id for each in store.batches(kind=IMPACTS).items] == [own]
        assert [each.id for each in store.batches(kind=RATINGS).items] == [other]
        assert {each.id for each in store.batches().items} == {own, other}
        found = store.batch(own)
        assert found is not None and (found.kind, found.options) == (IMPACTS, {"known": "later"})


def test_a_store_of_before_is_brought_up_with_its_batches(bare_url: str) -> None:
    """What was sent to be rated before there were other kinds is still of the kind that it was."""
    with closing(open_store(bare_url)) as old:
        with old._writing() as connection:
            config = Config()
            config.set_main_option("script_location", str(Path(migrations.__file__).parent))
            config.set_main_option("path_separator", "os")
            config.attributes["connection"] = connection
            command.upgrade(config, "0003")
            connection.execute(
                text(
                    "INSERT INTO batches (id, created_at, created_by, state, options, lines, done, failed) "
                    "VALUES ('01JJY0M8TT9CQ8Z5B2W7E4R6B1', '2026', 'ERP', 'queued', '{}', 1, 0, 0)"
                )
            )
        old.migrate()
        assert old.check()
        [batch] = old.batches(kind=RATINGS).items
        assert batch.state == "queued"
