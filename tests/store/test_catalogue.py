"""The catalogue: versions that stay as they are, and a catalogue to rate by."""

import json
from hashlib import sha256
from typing import Any

import pytest
import rfc8785

import sccr
from api.store import Conflict
from api.store import Delete
from api.store import Exists
from api.store import NotFound
from api.store import NotStorable
from api.store import PartQuery
from api.store import Put
from api.store import Store
from sccr import Catalogue
from sccr import InvalidDocument

from .conftest import CATALOGUE
from .conftest import PANELS
from .conftest import panel
from .large import part
from .large import parts as many_parts

BREAKER: dict[str, Any] = {"part": "OAT-1", "kind": "circuit_breaker", "ampere_rating": "20 A"}
CONTACTOR: dict[str, Any] = {"part": "RYE-1", "kind": "contactor", "price": "12.50", "stock": 3}


def digest_of(documents: list[dict[str, Any]]) -> str:
    """The digest of a catalogue, from its definition."""
    ordered = sorted(documents, key=lambda each: each["part"])
    lines = [f"{sha256(rfc8785.dumps(each)).hexdigest()} {each['part']}\n" for each in ordered]
    return sha256("".join(lines).encode()).hexdigest()


def documents(store: Store, version: int | None = None) -> list[dict[str, Any]]:
    return [part.document for part in store.every_part(version)]


def test_before_the_first_change_there_is_no_catalogue(store: Store) -> None:
    assert store.catalogue_version() is None
    assert store.catalogue() is None
    assert store.catalogue_for(panel()) is None
    assert store.part("OAT-1") is None
    assert store.search(PartQuery()).items == ()
    assert documents(store) == []
    with pytest.raises(NotFound):
        store.part("OAT-1", 1)
    with pytest.raises(NotFound):
        store.catalogue(1)


def test_a_list_of_changes_is_one_version(store: Store) -> None:
    version = store.apply_changes([Put(BREAKER), Put(CONTACTOR)], "me", "first parts")
    assert (version.number, version.parts, version.created_by, version.note) == (1, 2, "me", "first parts")
    assert version.created_at == "2026-01-31T12:00:00.000000Z"
    assert version.digest == digest_of([BREAKER, CONTACTOR])
    assert store.catalogue_version() == store.catalogue_version(1) == version
    part = store.part("OAT-1")
    assert part is not None
    assert (part.part, part.document, part.version) == ("OAT-1", BREAKER, 1)
    assert part.etag == sha256(rfc8785.dumps(BREAKER)).hexdigest()


def test_a_version_never_changes(store: Store) -> None:
    store.apply_changes([Put(BREAKER), Put(CONTACTOR)], "me")
    larger = {**BREAKER, "ampere_rating": "25 A"}
    store.apply_changes([Put(larger), Delete("RYE-1")], "me")
    store.apply_changes([Put(CONTACTOR), Delete("OAT-1")], "me")
    states = {1: [BREAKER, CONTACTOR], 2: [larger], 3: [CONTACTOR], None: [CONTACTOR]}
    for number, state in states.items():
        assert documents(store, number) == state
        version = store.catalogue_version(number)
        assert version is not None
        assert (version.digest, version.parts) == (digest_of(state), len(state))
        catalogue = store.catalogue(number)
        assert catalogue is not None
        assert dict(catalogue.parts).keys() == {each["part"] for each in state}
    assert store.part("OAT-1") is None
    found = [(store.part("OAT-1", number), store.part("RYE-1", number)) for number in (1, 2, 3)]
    assert [tuple(part and (part.document, part.version) for part in pair) for pair in found] == [
        ((BREAKER, 1), (CONTACTOR, 1)),
        ((larger, 2), None),
        (None, (CONTACTOR, 3)),
    ]
    assert [version.number for version in store.catalogue_versions().items] == [3, 2, 1]
    assert [store.changed_parts(number) for number in (1, 2, 3)] == [("OAT-1", "RYE-1")] * 3


def test_the_same_parts_again_are_no_new_version(store: Store) -> None:
    first = store.apply_changes([Put(BREAKER), Put(CONTACTOR)], "me")
    reordered = dict(reversed(BREAKER.items()))
    assert store.apply_changes([Put(reordered)], "you") == first
    assert store.apply_changes([], "you") == first
    second = store.apply_changes([Put(BREAKER), Put({**CONTACTOR, "stock": 4})], "you")
    assert second.number == 2
    assert store.changed_parts(2) == ("RYE-1",)


def test_an_empty_catalogue_is_one(store: Store) -> None:
    store.apply_changes([Put(BREAKER)], "me")
    emptied = store.apply_changes([Delete("OAT-1")], "me")
    assert (emptied.parts, emptied.digest) == (0, sha256(b"").hexdigest())
    catalogue = store.catalogue()
    assert catalogue is not None
    assert len(catalogue.parts) == 0


def test_parts_come_out_as_they_went_in(store: Store, parts: list[dict[str, Any]]) -> None:
    odd = {
        "part": "Ölmühle №5 'a' \"b\" \\ %_ 🌾",
        "kind": "motor",
        "description": "x\u2028y",
        "price": 1.5,
        "stock": 0,
    }
    everything = [*parts, odd]
    version = store.apply_changes([Put(part) for part in everything], "me")
    assert version.digest == digest_of(everything)
    written = {part["part"]: part for part in everything}
    assert {each["part"]: each for each in documents(store)} == written
    assert documents(store) == sorted(everything, key=lambda part: part["part"].encode())
    assert store.search(PartQuery(text="MÜHLE №5")).items[0].document == odd
    for name, document in written.items():
        part = store.part(name)
        assert part is not None
        assert rfc8785.dumps(part.document) == rfc8785.dumps(document)


def test_what_is_wrong_with_parts_is_told_of_all_and_nothing_is_kept(store: Store) -> None:
    wrong = [
        Put(BREAKER),
        Put({"part": "RYE-2", "kind": "contactr"}),
        Put({"part": "RYE-3", "kind": "contactor", "ampere_rating": 30}),
        Put(BREAKER),
    ]
    with pytest.raises(InvalidDocument) as refused:
        store.apply_changes(wrong, "me")
    assert [problem.pointer for problem in refused.value.problems] == [
        "/parts/1/kind",
        "/parts/2/ampere_rating",
        "/parts/3/part",
    ]
    assert store.catalogue_version() is None


def test_what_has_changed_since_is_a_conflict(store: Store) -> None:
    store.apply_changes([Put(BREAKER)], "me", expected_version=0)
    first = store.part("OAT-1")
    assert first is not None
    store.apply_changes([Put({**BREAKER, "stock": 1}, expected_etag=first.etag)], "me", expected_version=1)
    second = store.part("OAT-1")
    assert second is not None
    stale = [
        ([Put({**BREAKER, "stock": 2}, expected_etag=first.etag)], None, second.etag),
        ([Delete("OAT-1", expected_etag=first.etag)], None, second.etag),
        ([Put(CONTACTOR, expected_etag=first.etag)], None, None),
        ([Put(CONTACTOR), Put({**BREAKER, "stock": 2}, expected_etag=first.etag)], None, second.etag),
        ([Put(CONTACTOR)], 1, "2"),
        ([Put(CONTACTOR)], 0, "2"),
    ]
    for changes, version, current in stale:
        with pytest.raises(Conflict) as refused:
            store.apply_changes(changes, "me", expected_version=version)
        assert refused.value.current == current
    with pytest.raises(Exists):
        store.apply_changes([Put(CONTACTOR), Put(BREAKER, create_only=True)], "me")
    with pytest.raises(NotFound):
        store.apply_changes([Put(CONTACTOR), Delete("RYE-9")], "me")
    with pytest.raises(ValueError, match="at once: OAT-1"):
        store.apply_changes([Put(BREAKER), Delete("OAT-1")], "me")
    newest = store.catalogue_version()
    assert newest is not None
    assert newest.number == 2
    assert store.part("RYE-1") is None


def test_a_part_number_that_no_database_holds_is_told(store: Store) -> None:
    store.apply_changes([Put(BREAKER)], "me")
    with pytest.raises(NotStorable):
        store.part("OAT\x00")
    with pytest.raises(NotStorable):
        store.search(PartQuery(text="\ud800"))
    with pytest.raises(NotStorable):
        store.search(PartQuery(ampere_ma_min=2**63))
    catalogue = store.catalogue_for({"components": [{"part": "OAT\x00"}, {"part": "\ud800"}, {"part": "OAT-1"}]})
    assert catalogue is not None
    assert catalogue.lookup("OAT\x00") is None
    assert catalogue.lookup("OAT-1") is not None


def test_panels_are_rated_as_with_the_file(store: Store, parts: list[dict[str, Any]]) -> None:
    file = Catalogue.from_document(CATALOGUE.read_bytes())
    version = store.apply_changes([Put(part) for part in parts], "me")
    for path in PANELS:
        document = json.loads(path.read_bytes())
        stored = store.catalogue_for(document)
        assert stored is not None
        assert (stored.version, stored.digest) == (1, version.digest)
        rated, expected = (sccr.rate(document, each).as_dict() for each in (stored, file))
        assert rated["method"].pop("catalogue_digest") == version.digest
        expected["method"].pop("catalogue_digest")
        assert rated == expected
        assert sccr.rate(document, store.catalogue()).as_dict()["derivation"] == expected["derivation"]


def test_a_stored_part_is_the_part_of_the_file(store: Store, parts: list[dict[str, Any]]) -> None:
    file = Catalogue.from_document(CATALOGUE.read_bytes())
    store.apply_changes([Put(part) for part in parts], "me")
    stored = store.catalogue()
    assert stored is not None
    assert dict(stored.parts) == dict(file.parts)
    assert len(stored.parts) == len(file.parts)
    assert stored.lookup("no such part") is None


def test_a_panel_is_rated_by_the_version_that_is_asked_for(store: Store, parts: list[dict[str, Any]]) -> None:
    store.apply_changes([Put(part) for part in parts], "me")
    document = panel("whole_line")
    before = sccr.rate(document, store.catalogue_for(document))
    store.apply_changes([Put({**part, "stock": 1}) for part in parts], "me")
    after = sccr.rate(document, store.catalogue_for(document))
    again = sccr.rate(document, store.catalogue_for(document, 1))
    assert again == before
    assert after.method.catalogue_digest != before.method.catalogue_digest
    with pytest.raises(NotFound):
        store.catalogue_for(document, 3)


def test_reading_a_panel_s_parts_asks_the_database_once(store: Store, parts: list[dict[str, Any]]) -> None:
    store.apply_changes([Put(part) for part in parts], "me")
    document = panel("whole_line")
    catalogue = store.catalogue_for(document)
    store.close()
    with store._lock:  # whoever would connect now, waits for ever
        assert catalogue is not None
        assert sccr.rate(document, catalogue).status


def test_an_unknown_part_is_told_with_near_matches(store: Store, parts: list[dict[str, Any]]) -> None:
    store.apply_changes([Put(part) for part in parts], "me")
    document = panel("whole_line")
    named = next(each for each in document["components"] if "part" in each)
    right, named["part"] = named["part"], named["part"][:-1] + "?"
    with pytest.raises(InvalidDocument, match="did you mean") as refused:
        sccr.rate(document, store.catalogue_for(document))
    (problem,) = (each for each in refused.value.problems if each.code == "unknown-part")
    assert right in problem.detail


def test_of_a_large_catalogue_the_likely_parts_are_offered(store: Store) -> None:
    store.apply_changes([Put(part) for part in many_parts(3_000)], "me")
    catalogue = store.catalogue()
    assert catalogue is not None
    for number in (77, 1234, 2000, 2450):
        right = part(number)["part"]
        assert catalogue.near_to(right[1:], 1) == [right]
        assert catalogue.near_to(right.lower().replace("-", "_"), 2)[0] == right


def test_a_document_of_nothing_but_wrong_parts_does_not_take_minutes(store: Store) -> None:
    store.apply_changes([Put(part) for part in many_parts(3_000)], "me")
    document = panel("whole_line")
    model = next(each for each in document["components"] if "part" in each)
    document["components"] = [{**model, "id": f"-X{number}", "part": f"oats-{number}"} for number in range(1_000)]
    document["components"][-1]["part"] = "oat_00001"
    with pytest.raises(InvalidDocument) as refused:
        sccr.rate(document, store.catalogue_for(document))
    told = [problem.detail for problem in refused.value.problems if problem.code == "unknown-part"]
    assert len(told) == 1_000
    assert "did you mean" in told[0]
    assert not any("did you mean" in each for each in told[100:-1])
    assert 'did you mean "OAT-00001"' in told[-1], (
        "what differs in case and separators alone is found without comparing"
    )


def test_a_large_change_reads_back_whole(store: Store) -> None:
    """More than goes into one statement or one page, and a second version over it."""
    first = list(many_parts(2_500))
    version = store.apply_changes([Put(part) for part in first], "me")
    assert (version.parts, version.digest) == (2_500, digest_of(first))
    second = [{**part, "stock": 1} for part in first[:1_500]]
    gone = [part["part"] for part in first[2_200:]]
    version = store.apply_changes([*map(Put, second), *map(Delete, gone)], "me")
    state = second + first[1_500:2_200]
    assert (version.parts, version.digest) == (2_200, digest_of(state))
    assert documents(store) == sorted(state, key=lambda part: part["part"])
    assert documents(store, 1) == sorted(first, key=lambda part: part["part"])


def test_an_export_is_of_one_version_though_another_comes(store: Store) -> None:
    first = list(many_parts(2_500))
    store.apply_changes([Put(part) for part in first], "me")
    reading = store.every_part()
    begun = [next(reading).document]
    store.apply_changes([Delete(part["part"]) for part in first[:2_000]], "me")
    assert begun + [part.document for part in reading] == sorted(first, key=lambda part: part["part"])
