"""The engine as a whole: deterministic, stateless, and one result in every form."""

import copy
import json
import random
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

import sccr
from sccr.report.as_json import as_json
from tests.drawing import breaker
from tests.drawing import codes
from tests.drawing import contactor
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import rated

DEMO = json.loads(
    (Path(__file__).parent.parent / "fixtures/panels/current_limiting_feeder_fuse.json").read_text("utf-8")
)


def branch(**more: object) -> dict:
    return panel(breaker("FC1"), contactor("KM1", "FC1", "22 kA"), motor("MA1", "KM1"), **more)


def test_the_same_document_gives_the_same_rating_byte_for_byte() -> None:
    assert as_json(sccr.rate(DEMO)) == as_json(sccr.rate(copy.deepcopy(DEMO))) == as_json(sccr.rate(json.dumps(DEMO)))


def test_the_digest_is_of_the_canonical_document() -> None:
    """RFC 8785: neither the order of members nor white space changes it; a value does."""
    reordered = dict(reversed(list(DEMO.items())))
    changed = copy.deepcopy(DEMO)
    changed["panel"]["revision"] = "Z"

    assert sccr.rate(reordered).document_digest == sccr.rate(DEMO).document_digest
    assert sccr.rate(changed).document_digest != sccr.rate(DEMO).document_digest


def test_rating_does_not_change_the_document() -> None:
    before = copy.deepcopy(DEMO)
    sccr.rate(DEMO)

    assert before == DEMO


def test_threads_do_not_disturb_one_another() -> None:
    expected = as_json(sccr.rate(DEMO))
    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(lambda _: as_json(sccr.rate(DEMO)), range(64)))

    assert set(found) == {expected}


def test_the_order_of_components_does_not_matter() -> None:
    shuffled = copy.deepcopy(DEMO)
    random.Random(7).shuffle(shuffled["components"])

    assert rated(shuffled).rating == rated(DEMO).rating
    assert {limit.component for limit in rated(shuffled).limited_by} == {c.component for c in rated(DEMO).limited_by}


@pytest.mark.parametrize(
    ("target", "available", "adequate", "margin", "on_target"),
    [
        ("22 kA", "22 kA", True, 0, True),
        ("65 kA", "18 kA", True, 4_000, False),
        ("10 kA", "22.5 kA", False, -500, True),
    ],
)
def test_adequacy(target: str, available: str, adequate: bool, margin: int, on_target: bool) -> None:
    supply = {"voltage": "480 V", "system": "ungrounded_delta", "available_fault_current": available}
    found = sccr.rate(branch(supply=supply, target=target)).adequacy.as_dict()

    assert (found["adequate"], found["margin_amperes"]) == (adequate, margin)
    assert found["available_fault_current"]["basis"] == "stated in the document"
    assert found["target"]["adequate"] is on_target
    assert ("rating-below-target" in codes(branch(supply=supply, target=target), "warning")) is not on_target


def test_adequacy_is_unknown_where_no_current_is_stated_and_false_where_the_rating_is_withheld() -> None:
    supply = {"voltage": "480 V", "system": "ungrounded_delta", "available_fault_current": "5 kA"}
    withheld = panel(contactor("KM1", "S"), motor("MA1", "KM1"), supply=supply, target="5 kA")

    assert sccr.rate(branch()).adequacy.as_dict()["adequate"] is None
    found = sccr.rate(withheld).adequacy.as_dict()
    assert (found["adequate"], found["margin_amperes"], found["target"]["adequate"]) == (False, None, False)


def test_the_adequacy_shown_is_the_worst_of_the_supplies() -> None:
    wye = {"voltage": "480Y/277 V", "system": "solidly_grounded_wye"}
    supplies = [
        {"id": "A", **wye, "available_fault_current": "5 kA"},
        {"id": "B", **wye, "available_fault_current": "30 kA"},
    ]
    document = panel(breaker("FC1", "A", "10 kA"), breaker("FC2", "B", "14 kA"), supplies=supplies)
    found = sccr.rate(document).adequacy.as_dict()

    assert (found["adequate"], found["available_fault_current"]["supply"]) == (False, "B")
    assert [entry["adequate"] for entry in found["supplies"]] == [True, False]


def test_a_direct_current_is_not_called_rms_symmetrical() -> None:
    marked = {"interrupting_ratings": [{"current": "5 kA", "voltage": "60 V", "supply": "dc"}]}
    document = panel(breaker("FC1", current=None, **marked), supply={"voltage": "48 V", "system": "dc"})

    assert rated(document).rating.text == "5 kA, 60 V DC maximum"


def test_every_current_is_given_to_read_and_to_compute_with() -> None:
    found = sccr.rate(branch()).as_dict()

    assert (found["rating"]["current"], found["rating"]["current_amperes"]) == ("22 kA", 22_000)
    assert found["rating"]["text"] == "22 kA rms symmetrical, 600 V maximum"


def test_the_derivation_is_numbered_and_ends_at_the_rating() -> None:
    rating = rated(DEMO)

    assert [step.number for step in rating.derivation] == list(range(1, len(rating.derivation) + 1))
    assert rating.derivation[-1].after == rating.rating.current
    assert {step.clause for step in rating.derivation} <= {"SB4.2", "SB4.3.1", "SB4.3.2", "SB4.3.3", "SB4.4"}


def test_a_withheld_panel_carries_no_number() -> None:
    found = sccr.rate(panel(contactor("KM1", "S", "65 kA"), motor("MA1", "KM1"))).as_dict()

    assert (found["status"], found["rating"], found["limited_by"], found["next_limits"]) == ("withheld", None, [], [])
    assert all(supply["rating"] is None for supply in found["supplies"])
    assert all(circuit["rating"] is None for circuit in found["circuits"])


def test_the_method_names_what_the_rating_was_made_by() -> None:
    catalogue = sccr.Catalogue.from_document({"format": "catalogue/1", "parts": [{"part": "P", "kind": "contactor"}]})
    method = sccr.rate(branch(), catalogue).as_dict()["method"]

    assert method["edition"] == "UL 508A:2018"
    assert method["engine_version"] == sccr.__version__
    assert len(method["tables_digest"]) == len(method["catalogue_digest"]) == 64
    assert sccr.rate(branch()).as_dict()["method"]["catalogue_digest"] is None


def test_an_edition_without_rule_set_is_refused_at_its_field() -> None:
    with pytest.raises(sccr.InvalidDocument) as caught:
        sccr.rate(branch(edition="UL 508A:2081"))

    (problem,) = caught.value.problems
    assert (problem.pointer, problem.code) == ("/edition", "unknown-edition")
    assert "UL 508A:2018" in problem.detail


def test_the_superseded_edition_says_that_no_difference_is_known() -> None:
    older = branch(edition="UL 508A:2013")

    assert rated(older).rating == rated(branch()).rating
    assert "edition-difference-unknown" in codes(older, "note")
    assert sccr.rate(older).method.edition == "UL 508A:2013"


def test_a_part_from_the_catalogue_says_so_and_the_document_overrides() -> None:
    parts = [{"part": "C-1", "kind": "contactor", "short_circuit_ratings": [{"current": "18 kA", "voltage": "600 V"}]}]
    catalogue = sccr.Catalogue.from_document({"format": "catalogue/1", "parts": parts})
    document = panel(breaker("FC1"), {"id": "KM1", "part": "C-1", "fed_from": "FC1"})
    rating = sccr.rate(document, catalogue)
    stated = panel(breaker("FC1"), contactor("KM1", "FC1", "10 kA", part="C-1"))

    assert rating.rating.current == 18_000_000
    assert any(step.component == "KM1" and "catalogue part C-1" in step.statement for step in rating.derivation)
    value = next(c for c in rating.components if c.id == "KM1")
    assert value.sources == {"kind": "catalogue part C-1", "short_circuit_ratings": "catalogue part C-1"}
    assert sccr.rate(stated, catalogue).rating.current == 10_000_000
