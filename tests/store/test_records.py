"""Records: what went in comes out, byte for byte, and is found again."""

import json
from dataclasses import replace
from hashlib import sha256
from typing import Any

import pytest
import rfc8785

from api.store import NotStorable
from api.store import Put
from api.store import Store
from api.store import parts_named

from .conftest import PANELS
from .conftest import SetClock
from .conftest import panel
from .conftest import rated


@pytest.mark.parametrize("name", [path.stem for path in PANELS])
def test_a_record_holds_all_that_was_asked_and_answered(store: Store, name: str) -> None:
    document = panel(name)
    new = rated(document)
    kept = store.append_record(new)
    read = store.record(kept.id)
    assert read == kept
    assert read.intact
    assert rfc8785.dumps(read.document) == rfc8785.dumps(document)
    assert rfc8785.dumps(read.result) == rfc8785.dumps(dict(new.result))
    method, rating = new.result["method"], new.result["rating"]
    assert read.document_digest == sha256(rfc8785.dumps(document)).hexdigest() == new.result["document_digest"]
    assert (read.status, read.current_amperes) == (new.result["status"], rating and rating["current_amperes"])
    assert (read.engine_version, read.edition) == (method["engine_version"], method["edition"])
    assert (read.tables_digest, read.catalogue_digest) == (method["tables_digest"], method["catalogue_digest"])
    assert (read.asked_by, read.asked_at) == ("ERP", "2026-01-31T12:00:00.000000Z")


def test_what_is_on_disk_is_the_canonical_text(store: Store) -> None:
    document = {**panel(), "supplies": panel()["supplies"][::-1]}
    store.append_record(rated(json.loads(json.dumps(document))))
    with store._reading() as connection:
        text, digest = connection.exec_driver_sql("SELECT document, document_digest FROM records").one()
    assert text.encode() == rfc8785.dumps(document)
    assert digest == sha256(text.encode()).hexdigest()


def test_letters_of_every_alphabet_come_out_as_they_went_in(store: Store) -> None:
    document = panel()
    document["panel"]["title"] = 'Förderlinie 7 · зерно · 穀物 · 🌾 "quoted" back\\slash é é'
    kept = store.append_record(rated(document, by="Müller & Söhne"))
    read = store.record(kept.id)
    assert read is not None
    assert read.document["panel"]["title"] == document["panel"]["title"]
    assert read.asked_by == "Müller & Söhne"
    assert read.intact


def test_a_result_of_another_document_is_refused(store: Store) -> None:
    new = rated(panel())
    other = panel("unmarked_contactor")
    with pytest.raises(ValueError, match="digests differ"):
        store.append_record(replace(new, document=other))
    assert store.records().items == ()


def test_a_name_can_be_known_before(store: Store) -> None:
    name = store.new_id()
    assert store.append_record(replace(rated(panel()), id=name)).id == name


def test_every_word_of_a_record_counts_for_its_digest(store: Store) -> None:
    record = store.append_record(rated(panel(), order="A-1", designation="Line 1", revision=1))
    other: dict[str, Any] = {
        "id": store.new_id(),
        "document": {**record.document, "target": "1 kA"},
        "document_digest": "0" * 64,
        "result": {**record.result, "status": "withheld"},
        "status": "withheld",
        "current_amperes": 1,
        "engine_version": "0",
        "edition": "0",
        "tables_digest": "0",
        "catalogue_digest": "0",
        "catalogue_version": 7,
        "asked_by": "0",
        "asked_at": "0",
        "order": "0",
        "designation": "0",
        "revision": 2,
        "digest": "0",
    }
    assert record.intact
    assert other.keys() == set(record.__slots__)
    assert [name for name, value in other.items() if replace(record, **{name: value}).intact] == []


def test_a_withheld_rating_has_no_current(store: Store) -> None:
    record = store.append_record(rated(panel("slash_rating_on_delta")))
    assert (record.status, record.current_amperes) == ("withheld", None)


def test_records_are_read_in_pages_without_gap_or_repetition(store: Store, clock: SetClock) -> None:
    new = rated(panel())
    made = []
    for _ in range(7):
        made.append(store.append_record(new).id)
        clock.move(-1)  # a clock that is set back does not disturb the order
    read: list[str] = []
    after: str | None = None
    while True:
        page = store.records(after, 3)
        read += [record.id for record in page.items]
        if page.next is None:
            break
        after = page.next
        if len(read) == 3:
            made.append(store.append_record(new).id)  # while somebody reads
    assert read == made
    assert store.records(read[-1]).items == ()


def test_records_are_found_by_document_order_panel_and_part(store: Store) -> None:
    line, marked = panel("whole_line"), panel()
    first = store.append_record(rated(line, order="A-1", designation="Line 1", revision=1))
    second = store.append_record(rated(marked, order="A-1", designation="Line 2", revision=1))
    third = store.append_record(rated(marked))

    def found(**wanted: Any) -> list[str]:
        return [record.id for record in store.records(**wanted).items]

    assert found(document_digest=second.document_digest) == [second.id, third.id]
    assert found(order="A-1") == [first.id, second.id]
    assert found(order="A-1", designation="Line 2") == [second.id]
    assert found(order="A-2") == []
    only_in_line = set(parts_named(line)) - set(parts_named(marked))
    assert only_in_line
    for part in only_in_line:
        assert found(part=part) == [first.id]
    assert found(part="no such part") == []


def test_the_newest_record_of_a_document_by_a_method_is_found(store: Store) -> None:
    new = rated(panel())
    asked = (
        new.result["document_digest"],
        *(new.result["method"][name] for name in ("engine_version", "edition", "tables_digest", "catalogue_digest")),
    )
    assert store.record_for(*asked) is None
    store.append_record(new)
    newest = store.append_record(new)
    assert store.record_for(*asked) == newest
    for place in range(len(asked)):
        assert store.record_for(*asked[:place], "other", *asked[place + 1 :]) is None
    assert store.record_for(*asked[:-1], None) is None


def test_a_record_without_a_catalogue_is_found_by_its_absence(store: Store) -> None:
    new = rated(panel())
    bare = replace(new, result={**new.result, "method": {**new.result["method"], "catalogue_digest": None}})
    kept = store.append_record(bare)
    method = bare.result["method"]
    asked = (method["engine_version"], method["edition"], method["tables_digest"])
    assert store.record_for(kept.document_digest, *asked, None) == kept
    assert store.record_for(kept.document_digest, *asked, "0") is None


@pytest.mark.parametrize("text", ["a\x00b", "\ud800", "\udfff end"])
def test_a_name_that_no_database_holds_is_told_apart_from_one_that_is_not_there(store: Store, text: str) -> None:
    assert store.record("not there") is None
    with pytest.raises(NotStorable):
        store.record(text)
    with pytest.raises(NotStorable):
        store.records(order=text)
    with pytest.raises(NotStorable):
        store.append_record(rated(panel(), by=text))
    assert store.records().items == ()


@pytest.mark.parametrize(
    "document",
    [None, [], "text", {}, {"components": None}, {"components": [None, 1, [], {"part": 3}]}, {"supplies": [{}, 5]}],
)
def test_parts_are_named_by_what_is_no_panel_without_a_failure(document: Any) -> None:
    assert parts_named(document) == ()


def test_parts_are_named_once_in_order_of_components_and_then_of_supplies() -> None:
    document = {
        "supplies": [{"upstream_protection": {"part": "Z"}}, {"upstream_protection": {"part": "B"}}],
        "components": [{"part": "B"}, {"id": "x"}, {"part": "A"}, {"part": "B"}],
    }
    assert parts_named(document) == ("B", "A", "Z")


def test_a_record_may_say_by_which_version_of_the_catalogue(store: Store, parts: list[dict[str, Any]]) -> None:
    store.apply_changes([Put(part) for part in parts], "me")
    document = panel("whole_line")
    catalogue = store.catalogue_for(document)
    assert catalogue is not None
    record = store.append_record(rated(document, catalogue=catalogue, catalogue_version=catalogue.version))
    assert (record.catalogue_version, record.catalogue_digest) == (1, catalogue.digest)
