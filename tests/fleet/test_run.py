"""A run over what a change touches finds what a run over everything finds, and what rating from the start finds."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest
from sqlalchemy import select

from api.fleet import chunks
from api.fleet import rating
from api.fleet.asking import asked_of
from api.fleet.ledger import Ledger
from api.fleet.run import ALL
from api.fleet.run import TOUCHED
from api.fleet.run import Run
from api.store import Store
from api.store import read_puts
from api.store.changes import Put
from api.store.tables import metadata
from sccr import Catalogue
from sccr import SccrError
from sccr import rate
from sccr.many import Executor
from sccr.many import executor
from sccr.many.executors import InThisProcess
from sccr.many.processes import LocalProcesses
from tests.store.conftest import ROOT

from .drawn import DOCUMENTS
from .drawn import DOCUMENTS_WITHOUT
from .drawn import PARTS
from .drawn import changed_catalogue
from .drawn import changed_part
from .drawn import deletions
from .drawn import fill
from .drawn import put
from .drawn import stored_parts


def ran(
    store: Store, scope: str = TOUCHED, by: Executor | None = None, **asked: Any
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Return the summary of a run and its impacts."""
    read = asked_of({"format": "impact/1", "scope": scope, **asked})
    run = Run.over(store, read.propose(store), read.scope)
    with Ledger() as ledger:
        assert sum(run.rate(ledger, by or InThisProcess())) == ledger.rated
        return run.summary(ledger), [json.loads(text) for text in ledger.worst_first()]


def fleet(store: Store) -> Iterator[Any]:
    """Every revision that is newest or was shipped, found the plain way: with its record."""
    after = None
    while True:
        page = store.records(after, 200)
        for record in page.items:
            if record.order is not None:
                revision = store.revision(record.order, record.designation or "", record.revision)
                newest = store.revision(record.order, record.designation or "")
                assert revision is not None and newest is not None
                if revision.shipped_at is not None or revision == newest:
                    yield record
        after = page.next
        if after is None:
            return


def moved(store: Store, parts: list[dict[str, Any]]) -> set[str]:
    """The records whose marking is another one by a catalogue of these parts, each rated from the start."""
    catalogue = Catalogue.from_document({"format": "catalogue/1", "parts": parts})
    found = set()
    for record in fleet(store):
        try:
            today = json.loads(json.dumps(rate(record.document, catalogue).as_dict()))
        except SccrError:
            found.add(record.id)
            continue
        told = ("status", "rating", "conditions")
        same = all(today[name] == record.result[name] for name in told)
        if not same or adequate(today) != adequate(record.result):
            found.add(record.id)
    return found


def adequate(result: dict[str, Any]) -> list[Any]:
    return [(each["supply"], each["adequate"]) for each in result["adequacy"]["supplies"]]


@pytest.mark.parametrize("seed", range(3))
def test_touched_and_all_and_rating_from_the_start_agree_over_drawn_changes(store: Store, seed: int) -> None:
    random = Random(seed)
    fill(store, random)
    changed, touched_less = 0, 0
    for _ in range(3):
        parts = changed_catalogue(random, stored_parts(store))
        catalogue = {"format": "catalogue/1", "parts": parts}
        some, found = ran(store, TOUCHED, catalogue=catalogue)
        every, found_by_all = ran(store, ALL, catalogue=catalogue)
        assert found == found_by_all
        assert {each["record"] for each in found} == moved(store, parts)
        left_out = ("rated", "unchanged")
        assert {**some, "scope": "", "counts": _without(some["counts"], left_out)} == {
            **every,
            "scope": "",
            "counts": _without(every["counts"], left_out),
        }
        assert some["counts"]["touched"] == some["counts"]["rated"] <= every["counts"]["rated"]
        assert every["counts"]["rated"] == every["counts"]["stored"] == len(list(fleet(store)))
        changed += some["counts"]["changed"]
        touched_less += every["counts"]["rated"] - some["counts"]["rated"]
    assert changed and touched_less, "the draw shows nothing"


def _without(counts: dict[str, int], names: tuple[str, ...]) -> dict[str, int]:
    return {name: count for name, count in counts.items() if name not in names}


def test_a_proposal_finds_what_the_catalogue_does_once_it_is_stored(store: Store) -> None:
    random = Random(7)
    fill(store, random)
    parts = changed_catalogue(random, stored_parts(store))
    before, proposed = ran(store, catalogue={"format": "catalogue/1", "parts": parts})
    store.apply_changes(deletions(store, parts), "desk")
    after, found = ran(store)
    assert found == proposed != []
    assert after["catalogue_digest"] == before["catalogue_digest"]
    assert after["catalogue_version"] == before["catalogue_version"] + 1
    assert ran(store, catalogue_version=before["catalogue_version"])[0]["parts_changed"] == 0


def test_changed_parts_find_what_the_whole_catalogue_finds(store: Store) -> None:
    random = Random(8)
    fill(store, random)
    present = stored_parts(store)
    changed = [changed_part(random, part) for part in random.sample(present, 12)]
    removed = [present[0]["part"]]
    by_number = {part["part"]: part for part in [*present, *changed]}
    whole = [part for part in by_number.values() if part["part"] not in removed]
    changed = [part for part in changed if part["part"] not in removed]
    by_parts = ran(store, changed_parts=changed, removed_parts=removed)
    assert by_parts == ran(store, catalogue={"format": "catalogue/1", "parts": whole})
    assert by_parts[0]["parts_removed"] == 1


def test_nothing_is_stored_or_changed(store: Store) -> None:
    fill(store, Random(9))
    before = _everything(store)
    summary, _ = ran(store, ALL, changed_parts=[changed_part(Random(1), part) for part in PARTS])
    assert summary["counts"]["changed"]
    assert _everything(store) == before


def _everything(store: Store) -> dict[str, Any]:
    with store._reading() as connection:
        return {name: connection.execute(select(table)).all() for name, table in metadata.tables.items()}


class TestEngine:
    def test_what_another_engine_has_rated_is_touched_whatever_it_names(self, store: Store) -> None:
        store.apply_changes([Put(part) for part in PARTS], "desk")
        old = put(store, DOCUMENTS[0], "TO-1", "P-1", engine_version="0.0.1")
        put(store, DOCUMENTS[0], "TO-2", "P-1")
        summary, found = ran(store)
        assert (summary["engine_changed"], summary["counts"]["touched"], summary["counts"]["stored"]) == (True, 1, 2)
        assert found == []  # by this engine it comes to the same
        assert ran(store, ALL)[0]["counts"]["touched"] == 1
        record = store.record(old)
        assert record is not None and record.engine_version == "0.0.1"

    @pytest.mark.parametrize("method", [{"tables_digest": "0" * 64}, {"edition": "UL 508A:1998"}])
    def test_other_tables_and_editions_are_another_engine(self, store: Store, method: dict[str, str]) -> None:
        store.apply_changes([Put(part) for part in PARTS], "desk")
        put(store, DOCUMENTS[0], "TO-1", "P-1", **method)
        summary, _ = ran(store)
        assert (summary["engine_changed"], summary["counts"]["touched"]) == (True, 1)

    def test_of_a_fleet_of_today_nothing_is_touched(self, store: Store) -> None:
        store.apply_changes([Put(part) for part in PARTS], "desk")
        put(store, DOCUMENTS[0], "TO-1", "P-1")
        summary, found = ran(store)
        assert (summary["engine_changed"], summary["counts"]["touched"], found) == (False, 0, [])

    def test_an_empty_store_has_nothing_to_tell(self, store: Store) -> None:
        summary, found = ran(store, ALL)
        assert (summary["counts"]["stored"], summary["catalogue_version"], found) == (0, None, [])


def test_a_panel_on_which_the_engine_fails_is_told_and_the_others_are_rated(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.apply_changes([Put(part) for part in PARTS], "desk")
    for number in range(3):
        put(store, DOCUMENTS[0], f"TO-{number}", "P-1")
    named = next(each["part"] for each in DOCUMENTS[0]["components"] if "part" in each)
    calls = []

    def failing(*given: Any) -> Any:
        calls.append(given)
        if len(calls) == 2:
            raise ZeroDivisionError
        return impact(*given)

    impact = rating.impact
    monkeypatch.setattr(rating, "impact", failing)
    summary, found = ran(store, removed_parts=[named])
    assert [each["outcome"] for each in found] == ["refused", "refused", "unknown"]
    assert summary["counts"]["unknown"] == 1
    assert found[2]["why"] == ["the engine failed on it; the log holds the cause"]


def test_what_was_rated_without_a_catalogue_is_touched_if_it_names_a_part(store: Store) -> None:
    """The part was a mere label then, and is looked up now."""
    labelled = next(each for each in DOCUMENTS_WITHOUT if any("part" in part for part in each["components"]))
    plain = next(each for each in DOCUMENTS_WITHOUT if not any("part" in part for part in each["components"]))
    put(store, labelled, "TO-1", "LABELLED")
    put(store, plain, "TO-1", "PLAIN")
    assert ran(store)[0]["counts"]["touched"] == 0  # there is no catalogue now either
    whole = {"format": "catalogue/1", "parts": [{"part": "OTHER", "kind": "contactor"}]}
    summary, found = ran(store, catalogue=whole)
    assert (summary["counts"]["touched"], summary["catalogue_version"]) == (1, None)
    assert [(each["designation"], each["outcome"]) for each in found] == [("LABELLED", "refused")]
    assert ran(store, ALL, catalogue=whole)[1] == found


class TestWhoRates:
    """Whoever rates, and whatever becomes of him: each panel once, and the same of it."""

    @pytest.fixture(autouse=True)
    def small_chunks(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(chunks, "_PANELS", 2)
        monkeypatch.setattr(chunks, "_READ", 2)

    @pytest.fixture
    def asked(self, store: Store) -> dict[str, Any]:
        random = Random(11)
        fill(store, random, panels=16)
        return {"catalogue": {"format": "catalogue/1", "parts": changed_catalogue(random, stored_parts(store))}}

    def test_other_processes_find_what_this_one_finds(self, store: Store, asked: dict[str, Any]) -> None:
        with executor(2) as by:
            found = ran(store, ALL, by, **asked)
        assert found == ran(store, ALL, **asked)
        assert found[0]["counts"]["changed"]

    def test_one_that_is_killed_in_the_middle_loses_nothing(
        self, store: Store, asked: dict[str, Any], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        expected = ran(store, ALL, **asked)
        killed = []
        with executor(2) as by:
            assert isinstance(by, LocalProcesses)
            assert ran(store, ALL, by, **asked) == expected  # now there are processes, whatever comes first
            read = Store.record_texts

            def read_and_kill(self: Store, records: Any) -> Any:
                if by.pids and not killed:
                    os.kill(by.pids[0], signal.SIGKILL)
                    killed.append(True)
                return read(self, records)

            monkeypatch.setattr(Store, "record_texts", read_and_kill)
            assert ran(store, ALL, by, **asked) == expected
        assert killed

    def test_a_panel_from_which_nobody_comes_back_is_not_known_and_the_others_are(
        self, store: Store, asked: dict[str, Any]
    ) -> None:
        expected = ran(store, ALL, **asked)[1]
        deadly = expected[-1]["record"]

        class Dying(InThisProcess):
            """One that dies of a panel, and is given it no more."""

            def map(self, function: Any, items: Any, lost: Any = None) -> Iterator[Any]:
                for item in items:
                    dies = any(panel.place["record"] == deadly for panel in item.panels)
                    yield lost(item) if dies else function(item)

        found = ran(store, ALL, Dying(), **asked)[1]
        assert [each["record"] for each in found if each["outcome"] == "unknown"] == [deadly]
        others = [each for each in found if each["record"] != deadly]
        assert others == [each for each in expected if each["record"] != deadly]

    def test_what_rates_needs_neither_the_store_nor_the_service(self) -> None:
        """A cluster has the engine, and not what a service needs."""
        program = "import sys, api.fleet.rating; print(sorted({'flask', 'sqlalchemy', 'alembic'} & set(sys.modules)))"
        found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT)
        assert found.stdout == "[]\n"


def test_the_worst_comes_first(store: Store) -> None:
    fill(store, Random(3), panels=40)
    random = Random(4)
    parts = [changed_part(random, part) for part in stored_parts(store) if random.random() > 0.05]
    _, found = ran(store, catalogue={"format": "catalogue/1", "parts": parts})
    fails = {"refused", "unknown", "withheld", "below_available"}
    classes = [
        0 if each["outcome"] in fails and each["shipped_at"] else 1 if each["outcome"] in fails else 2 for each in found
    ]
    assert classes == sorted(classes) and len(set(classes)) == 3
    below = [each for each in found if each["outcome"] == "below_available" and not each["shipped_at"]]
    margins = [min(supply["margin_amperes"] for supply in each["supplies"]) for each in below]
    assert margins == sorted(margins) and len(margins) > 1


def test_parts_that_are_read_are_those_that_are_put(store: Store) -> None:
    """A part in another order of its members, or with other spaces, is the same part: nothing is touched by it."""
    fill(store, Random(5))
    reordered = [dict(reversed(part.items())) for part in stored_parts(store)]
    assert read_puts([Put(reordered[0])])[0].document
    summary, _ = ran(store, catalogue={"format": "catalogue/1", "parts": reordered})
    assert (summary["parts_changed"], summary["parts_removed"]) == (0, 0)
