"""Orders: revisions that follow each other, none lost, none changed."""

from dataclasses import replace
from typing import Any

import pytest

from api.store import Conflict
from api.store import Exists
from api.store import NewRecord
from api.store import NotFound
from api.store import NotStorable
from api.store import Put
from api.store import Store

from .conftest import SetClock
from .conftest import panel
from .conftest import rated


def revised(number: int) -> NewRecord:
    document = panel()
    document["panel"]["revision"] = str(number)
    return rated(document)


def test_a_revision_and_its_record_are_kept_together(store: Store) -> None:
    new = rated(panel(), by="configurator")
    made = store.put_revision("A-1", "Line 1", new)
    assert store.revision("A-1", "Line 1") == store.revision("A-1", "Line 1", 1) == made
    assert (made.order, made.designation, made.revision) == ("A-1", "Line 1", 1)
    assert (made.document, made.document_digest) == (new.document, new.result["document_digest"])
    assert (made.created_by, made.created_at) == ("configurator", "2026-01-31T12:00:00.000000Z")
    assert (made.shipped_at, made.catalogue_version) == (None, None)
    record = store.record(made.record_id)
    assert record is not None
    assert (record.order, record.designation, record.revision) == ("A-1", "Line 1", 1)
    assert record.intact


def test_what_is_not_there_is_nothing(store: Store) -> None:
    store.put_revision("A-1", "Line 1", revised(1))
    for missing in (("A-2", "Line 1"), ("A-1", "Line 2"), ("A-1", "Line 1", 2), ("A-1", "Line 1", 0)):
        assert store.revision(*missing) is None
    assert store.revisions("A-1", "Line 2").items == ()
    assert store.panels("A-2").items == ()


def test_revisions_follow_each_other_by_their_etags(store: Store) -> None:
    first = store.put_revision("A-1", "Line 1", revised(1), create_only=True)
    second = store.put_revision("A-1", "Line 1", revised(2), expected_etag=first.etag)
    third = store.put_revision("A-1", "Line 1", revised(3))
    assert [each.revision for each in (first, second, third)] == [1, 2, 3]
    assert len({each.etag for each in (first, second, third)}) == 3
    for stale in (first.etag, second.etag, "", "*"):
        with pytest.raises(Conflict) as refused:
            store.put_revision("A-1", "Line 1", revised(4), expected_etag=stale)
        assert refused.value.current == third.etag
    with pytest.raises(Exists):
        store.put_revision("A-1", "Line 1", revised(4), create_only=True)
    assert store.revisions("A-1", "Line 1").items == (third, second, first)
    assert len(store.records().items) == 3, "what was refused leaves no record"


def test_the_same_document_again_is_another_revision_with_another_etag(store: Store) -> None:
    first = store.put_revision("A-1", "Line 1", revised(1))
    second = store.put_revision("A-1", "Line 1", revised(1), expected_etag=first.etag)
    assert second.etag != first.etag
    other = store.put_revision("A-1", "Line 2", revised(1))
    assert other.etag not in {first.etag, second.etag}


def test_what_is_refused_leaves_no_order_behind(store: Store) -> None:
    with pytest.raises(Conflict) as refused:
        store.put_revision("A-1", "Line 1", revised(1), expected_etag="0")
    assert refused.value.current is None
    with pytest.raises(ValueError, match="digests differ"):
        store.put_revision("A-1", "Line 1", replace(revised(1), document=panel("whole_line")))
    with pytest.raises(NotStorable):
        store.put_revision("A-1", "Line\x001", revised(1))
    assert store.orders().items == ()
    assert store.records().items == ()


def test_history_is_read_in_pages(store: Store) -> None:
    for number in range(1, 8):
        store.put_revision("A-1", "Line 1", revised(number))
    first = store.revisions("A-1", "Line 1", limit=3)
    second = store.revisions("A-1", "Line 1", first.next, 3)
    third = store.revisions("A-1", "Line 1", second.next, 3)
    assert [[each.revision for each in page.items] for page in (first, second, third)] == [[7, 6, 5], [4, 3, 2], [1]]
    assert third.next is None


def test_a_shipment_is_noted_once(store: Store, clock: SetClock) -> None:
    store.put_revision("A-1", "Line 1", revised(1))
    store.put_revision("A-1", "Line 1", revised(2))
    shipped = store.mark_shipped("A-1", "Line 1", 1, "me")
    assert (shipped.revision, shipped.shipped_at) == (1, "2026-01-31T12:00:00.000000Z")
    clock.move(60)
    assert store.mark_shipped("A-1", "Line 1", 1, "you") == shipped == store.revision("A-1", "Line 1", 1)
    newest = store.revision("A-1", "Line 1")
    assert newest is not None
    assert (newest.revision, newest.shipped_at) == (2, None)
    with pytest.raises(NotFound):
        store.mark_shipped("A-1", "Line 1", 3, "me")


def test_orders_are_listed_with_their_panels(store: Store, clock: SetClock) -> None:
    for order, designation in (("A-2", "Line 1"), ("A-1", "Mühle"), ("A-1", "Dust"), ("B_1", "Line 1")):
        store.put_revision(order, designation, revised(1))
        clock.move(1)
    store.put_revision("A-1", "Mühle", revised(2))
    listed = [
        (each.order, each.panels, each.created_at[17:19], each.updated_at[17:19]) for each in store.orders().items
    ]
    assert listed == [("A-1", 2, "01", "04"), ("A-2", 1, "00", "00"), ("B_1", 1, "03", "03")]
    page = store.orders(limit=2)
    assert [each.order for each in page.items] == ["A-1", "A-2"]
    assert [each.order for each in store.orders(page.next, 2).items] == ["B_1"]
    searched = {
        text: [each.order for each in store.orders(text=text).items] for text in ("a-", "MÜHLE", "line", "_", "%", "x")
    }
    assert searched == {
        "a-": ["A-1", "A-2"],
        "MÜHLE": ["A-1"],
        "line": ["A-2", "B_1"],
        "_": ["B_1"],
        "%": [],
        "x": [],
    }


def test_the_panels_of_an_order_are_listed_as_they_are_now(store: Store) -> None:
    for designation in ("C", "A", "B"):
        store.put_revision("A-1", designation, revised(1))
    newest = store.put_revision("A-1", "B", revised(2))
    store.put_revision("A-2", "D", revised(1))
    page = store.panels("A-1", limit=2)
    assert [(each.designation, each.revision) for each in page.items] == [("A", 1), ("B", 2)]
    assert page.items[1] == newest
    assert [each.designation for each in store.panels("A-1", page.next).items] == ["C"]


def test_panels_are_found_by_the_parts_they_were_rated_with(store: Store, parts: list[dict[str, Any]]) -> None:
    store.apply_changes([Put(part) for part in parts], "me")
    line, marked = panel("whole_line"), panel()
    used = next(each["part"] for each in line["components"] if "part" in each)
    with_part = rated(line, catalogue=store.catalogue_for(line), catalogue_version=1)
    for order, designation in (("A-1", "Line 1"), ("A-1", "Line 2"), ("A-2", "Line 1"), ("A-2", "Line 2")):
        store.put_revision(order, designation, with_part)
    without = {key: value for key, value in marked.items() if key != "components"}
    without["components"] = [{k: v for k, v in each.items() if k != "part"} for each in marked["components"]]
    store.put_revision("A-1", "Line 2", rated(without))  # its newest revision has the part no more
    store.put_revision("A-3", "Line 1", rated(without))

    def found(*parts: str, **more: Any) -> list[tuple[str, str, int]]:
        return [(each.order, each.designation, each.revision) for each in store.panels_using(parts, **more).items]

    assert found(used) == [("A-1", "Line 1", 1), ("A-2", "Line 1", 1), ("A-2", "Line 2", 1)]
    assert found("no such part") == []
    assert found() == []
    page = store.panels_using([used, "no such part"], limit=2)
    assert len(page.items) == 2
    assert found(used, after=page.next) == [("A-2", "Line 2", 1)]
    assert store.panels_using([used]).items[0].catalogue_version == 1
