"""The fast lane: it takes what is right, and the way of the contract comes to the same panel, or to what is wrong."""

import json
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import fields
from decimal import Decimal
from enum import IntEnum
from enum import StrEnum
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck
from hypothesis import given
from hypothesis import settings

import sccr
from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.errors import SccrError
from sccr.panel.panel import Panel
from sccr.schema.catalogue import Catalogue
from sccr.schema.load import load_panel
from sccr.schema.load import load_quickly
from sccr.schema.load import load_with_care
from tests.bench.lines import line_of
from tests.oracle.panels import panels
from tests.oracle.panels import random_panel
from tests.schema.iec_fields import EDITIONS
from tests.schema.iec_fields import with_iec_fields
from tests.schema.spoiling import FIXTURES
from tests.schema.spoiling import PANELS
from tests.schema.spoiling import drawn_document
from tests.schema.spoiling import spoiled

Document = dict[str, Any]
EDITION = "test-edition"
CATALOGUE = Catalogue.from_document((FIXTURES / "catalogue/grain.json").read_text("utf-8"))


def known() -> tuple[str, ...]:
    return EDITIONS


def same(one: Panel, other: Panel) -> bool:
    """Whether two panels are the same, field for field: in their types and digits as well."""
    for field in fields(Panel):
        left, right = getattr(one, field.name), getattr(other, field.name)
        if left != right or (field.name != "components" and repr(left) != repr(right)):
            return False
    pairs = zip(one.components, other.components, strict=True)
    return all(
        repr(getattr(left, field.name)) == repr(getattr(right, field.name))
        for left, right in pairs
        for field in fields(left)
        if field.name != "from_catalogue"  # a set, which is printed in any order
    )


def verdict(document: Any, catalogue: Catalogue | None = None) -> bool:
    """Whether the document is right; and that both lanes say so, and give the same panel or the same problems."""
    quick = load_quickly(document, catalogue, EDITION, known)
    try:
        careful = load_with_care(document, catalogue, EDITION, known)
    except SccrError as refused:
        assert quick is None
        with pytest.raises(type(refused)) as told:
            load_panel(document, catalogue, EDITION, known)
        assert str(told.value) == str(refused)
        assert getattr(told.value, "problems", None) == getattr(refused, "problems", None)
        return False
    assert quick is not None, "a right document that the fast lane does not take"
    assert same(quick, careful)
    return True


class TestRightDocuments:
    @pytest.mark.parametrize("name", PANELS)
    def test_of_the_demo_take_the_fast_lane_as_text_and_as_a_mapping(self, name: str) -> None:
        text = PANELS[name]

        assert verdict(text, CATALOGUE)
        assert verdict(text.encode(), CATALOGUE)
        assert verdict(json.loads(text), CATALOGUE)

    def test_without_a_catalogue_all_whose_components_say_their_kind(self) -> None:
        verdicts = {name: verdict(text) for name, text in PANELS.items()}

        assert [name for name, right in verdicts.items() if not right] == ["control_transformer_breaker", "whole_line"]

    def test_of_hundreds_of_drawn_panels_take_the_fast_lane(self) -> None:
        for seed in range(400):
            document = random_panel(seed)
            text = json.dumps(document, ensure_ascii=seed % 2 == 0, indent=1 if seed % 3 else None)
            assert verdict(text if seed % 5 else document), seed

    def test_with_the_fields_of_the_iec_standards_take_the_fast_lane(self) -> None:
        seen: set[str] = set()
        for seed in range(300):
            document = with_iec_fields(Random(seed), random_panel(seed))
            assert verdict(json.dumps(document) if seed % 2 else document), seed
            seen.update(document)
            seen.update(
                *document["components"], *(each.get("upstream_protection", {}) for each in document["supplies"])
            )

        wanted = {"editions", "utilization_category", "breaking_capacities", "conditional_ratings", "clearing_time"}
        assert wanted | {"short_time_ratings", "back_up_ratings"} <= seen

    @settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
    @given(document=panels())
    def test_of_any_kind_take_the_fast_lane(self, document: Document) -> None:
        assert verdict(document)
        assert verdict(json.dumps(document))

    def test_in_whatever_order_the_components_stand(self) -> None:
        for seed in range(100):
            document = random_panel(seed)
            Random(seed).shuffle(document["components"])
            assert verdict(document), seed

    def test_of_five_thousand_components_take_the_fast_lane(self) -> None:
        assert verdict(line_of(5_000))

    def test_of_a_whole_elevator_take_the_fast_lane(self, document: Document) -> None:
        assert verdict(document)
        assert verdict(json.dumps(document, ensure_ascii=True))


@pytest.mark.parametrize("seed", range(3))
def test_documents_with_something_the_matter_get_the_same_verdict(seed: int) -> None:
    random = Random(seed)
    verdicts = []
    for number in range(500):
        document = spoiled(random, drawn_document(random))
        verdicts.append(verdict(document, CATALOGUE if number % 4 else None))

    assert 25 < sum(verdicts) < 475  # both sides are tried


def _component(document: Document, **members: Any) -> Document:
    document["components"][0] |= members
    return document


def _upstream(document: Document, **members: Any) -> Document:
    document["supplies"][0]["upstream_protection"] |= members
    return document


def _more(document: Document, name: str, source: Any = "S1") -> Document:
    document["components"].append({"id": name, "kind": "terminal_block", "fed_from": source})
    return document


def _one_winding(document: Document, fed_from: Any) -> Document:
    transformer = document["components"][4]["transformer"]
    transformer |= {name: transformer[name][:1] for name in ("secondary", "secondary_system")}
    document["components"][5] |= {"fed_from": fed_from}
    return document


JUST_OUTSIDE: dict[str, Callable[[Document], Any]] = {
    "wrong type": lambda d: _component(d, poles="3"),
    "bool for int": lambda d: _component(d, poles=True),
    "float for int": lambda d: _component(d, poles=3.0),
    "int for bool": lambda d: _component(d, current_limiting=1),
    "huge int": lambda d: _component(d, poles=10**400),
    "int beyond all bounds": lambda d: _component(d, accessory_limit=2**53),
    "nan": lambda d: _component(d, poles=float("nan")),
    "null": lambda d: _component(d, poles=None),
    "unknown field": lambda d: _component(d, pole=3),
    "name that is no text": lambda d: _component(d, **{}) | {1: 2},
    "field of another object": lambda d: _component(d, voltage="480 V"),
    "duration of no unit": lambda d: _component(d, clearing_time="20"),
    "duration too long": lambda d: _component(d, clearing_time="5.1 s"),
    "capacity of a fuse": lambda d: _component(
        d, breaking_capacities=[{"voltage": "400 V", "current": "9 kA", "kind": "fuse"}]
    ),
    "capacity of no kind": lambda d: _component(d, breaking_capacities=[{"voltage": "400 V", "current": "9 kA"}]),
    "peak of no more than rms": lambda d: _component(
        d, short_time_ratings=[{"current": "9 kA", "duration": "1 s", "peak": "9 kA"}]
    ),
    "conditional on a breaker": lambda d: _component(d, conditional_ratings=[]),
    "category on a breaker": lambda d: _component(d, utilization_category="gG"),
    "category on a breaker upstream": lambda d: _upstream(d, device="circuit_breaker", utilization_category="gG"),
    "capacity of a breaker on a fuse upstream": lambda d: _upstream(
        d, breaking_capacities=[{"voltage": "400 V", "current": "9 kA", "kind": "icu"}]
    ),
    "coordination as a flag": lambda d: d | {"options": {"coordination": True}},
    "unknown edition": lambda d: d | {"editions": ["another", "yet another"]},
    "edition twice": lambda d: d | {"editions": ["another", "another"]},
    "edition and editions": lambda d: d | {"edition": "another", "editions": ["another"]},
    "missing id": lambda d: d["components"][0].pop("id") and d,
    "missing source": lambda d: d["components"][0].pop("fed_from") and d,
    "missing kind": lambda d: d["components"][0].pop("kind") and d,
    "missing format": lambda d: d.pop("format") and d,
    "no components": lambda d: d | {"components": []},
    "no supplies": lambda d: d | {"supplies": []},
    "no object": lambda d: [d],
    "list for object": lambda d: d | {"panel": []},
    "object for list": lambda d: d | {"components": {"0": d["components"][0]}},
    "tuple for list": lambda d: d | {"components": tuple(d["components"])},
    "tuple within": lambda d: _component(d, interrupting_ratings=({"voltage": "480 V", "current": "65 kA"},)),
    "bytes for text": lambda d: _component(d, ampere_rating=b"100 A"),
    "decimal for text": lambda d: _component(d, ampere_rating=Decimal(100)),
    "duplicate id": lambda d: _component(d, id="-QA2"),
    "id of a supply": lambda d: _component(d, id="S1"),
    "id of a winding": lambda d: _more(d, "-TA1/1"),
    "id of a winding that is not there": lambda d: _more(d, "-TA1/9"),
    "id of a component": lambda d: _more(d, "-QA1"),
    "id of upstream protection": lambda d: _more(d, "S1:upstream"),
    "id with a space": lambda d: _component(d, id="-QA1 "),
    "id with a control character": lambda d: _component(d, id="-QA1\u200b"),
    "lookalike": lambda d: _component(d, kind="circuit_brеaker"),
    "lookalike digits": lambda d: _component(d, ampere_rating="１００ A"),
    "trailing space": lambda d: _component(d, ampere_rating="100 A "),
    "trailing newline": lambda d: _component(d, ampere_rating="100 A\n"),
    "wrong case": lambda d: _component(d, ampere_rating="100 a"),
    "text of spaces": lambda d: _component(d, mounting="\u2003"),
    "fed from itself": lambda d: _component(d, fed_from="-QA1"),
    "fed in a loop": lambda d: _component(d, fed_from="-QM2"),
    "fed from nothing": lambda d: _component(d, fed_from="-QA9"),
    "fed twice": lambda d: _component(d, fed_from=["S1", "S1"]),
    "fed from no list of names": lambda d: _component(d, fed_from=[]),
    "fed from a winding twice": lambda d: _component(d, fed_from=["-TA1/1", "-TA1/1"]),
    "fed from no winding": lambda d: _component(d, fed_from="-TA1"),
    "too many ratings": lambda d: _component(d, interrupting_ratings=[{"voltage": "480 V", "current": "65 kA"}] * 201),
    "fed from a winding by both of its names": lambda d: _one_winding(d, ["-TA1", "-TA1/1"]),
    "what the kind cannot have": lambda d: _component(d, short_circuit_ratings=[]),
    "contradiction in a supply": lambda d: d["supplies"][0].update(system="dc") or d,
}


@pytest.mark.parametrize("what", JUST_OUTSIDE)
def test_what_is_just_outside_is_left_to_the_contract(document: Document, what: str) -> None:
    assert not verdict(JUST_OUTSIDE[what](document))


JUST_INSIDE: dict[str, Callable[[Document], Document]] = {
    "an id with a stroke": lambda d: _component(d, id="-QA1", part="A/1"),
    "an id with a stroke beside a transformer": lambda d: _more(d, "-F/1"),
    "fed from both windings": lambda d: _more(d, "-X", ["-TA1/1", "-TA1/2"]),
    "fed from the only winding": lambda d: _one_winding(d, "-TA1"),
    "fed from the only winding by its number": lambda d: _one_winding(d, ["-TA1/1"]),
    "fed from what stands behind": lambda d: d | {"components": [*reversed(d["components"])]},
    "a quantity without a space": lambda d: _component(d, ampere_rating="100A"),
    "the longest name": lambda d: _component(d, mounting="x" * 500),
}


@pytest.mark.parametrize("what", JUST_INSIDE)
def test_what_is_just_inside_is_right_by_both(document: Document, what: str) -> None:
    assert verdict(JUST_INSIDE[what](document))


class Word(StrEnum):
    KIND = "circuit_breaker"


class Count(IntEnum):
    THREE = 3


def test_types_derived_from_those_of_json_are_read_by_both_alike(document: Document) -> None:
    _component(document, kind=Word.KIND, poles=Count.THREE, id=type("Name", (str,), {})("-QA1"))
    document["panel"] = OrderedDict(document["panel"])
    careful = load_with_care(document, None, EDITION)

    assert load_panel(document, None, EDITION) == careful
    assert careful.document_digest == load_with_care(json.loads(json.dumps(document)), None, EDITION).document_digest


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"poles": 3', '"poles": NaN'),
        ('"poles": 3', '"poles": Infinity'),
        ('"poles": 3', '"poles": 1e999'),
        ('"poles": 3', '"poles": 9007199254740993'),
        ('"poles": 3', '"poles": ' + "9" * 5_000),
        ('"poles": 3', '"poles": 3, "poles": 3'),
        ('"poles": 3', '"poles": 2, "p\\u006fles": 3'),
        ('"poles": 3', '"poles": 3, "poles": "\\""'),
        ('"format"', '"format": "panel/1", "format"'),
        ('"id": "-QA1"', '"id": "-QA1\\u0000"'),
        ('"id": "-QA1"', '"id": "-QA1\\u007f"'),
        ('"id": "-QA1"', '"id": "-QA1\x80"'),
        ('"id": "-QA1"', '"id": "\\ud800"'),
        ('"id": "-QA1"', '"id": "\ud800"'),
        ('"id": "-QA1"', '"id": "-QA1\t"'),
        ('"title"', "'title'"),
        ('{"format"', '\ufeff{"format"'),
        ('{"format"', '{} {"format"'),
        ('"target"', '"options2": ' + "[" * 40 + "]" * 40 + ', "target"'),
        ('"target"', '"options2": ' + "[" * 100_000 + "]" * 100_000 + ', "target"'),
    ],
)
def test_a_text_that_json_does_not_take_is_left_to_the_contract(document: Document, old: str, new: str) -> None:
    text = json.dumps(document)
    assert old in text

    assert not verdict(text.replace(old, new, 1))
    assert not verdict(text.replace(old, new, 1).encode(errors="surrogatepass"))


@pytest.mark.parametrize(
    "text", ["", "null", "[]", "{}", '"a"', b"\xff", b"\xff\xfe{\x00}\x00", '{"components": [[]]}']
)
def test_what_is_no_panel_at_all_is_left_to_the_contract(text: str | bytes) -> None:
    assert not verdict(text)


def test_a_component_taken_from_the_catalogue_may_not_have_what_its_kind_cannot() -> None:
    document = json.loads(PANELS["whole_line"])
    part = next(each for each in document["components"] if "part" in each)

    assert not verdict(
        document | {"components": [*document["components"], part | {"id": "-X", "part": "none"}]}, CATALOGUE
    )
    assert not verdict(
        document | {"components": [*document["components"], part | {"id": "-X", "kind": "motor"}]}, CATALOGUE
    )


def test_a_hundred_thousand_components_are_refused_as_ever() -> None:
    with pytest.raises(InvalidDocument) as caught:
        sccr.load_panel(line_of(100_000))

    assert [(each.pointer, each.code) for each in caught.value.problems] == [("/components", "wrong-length")]


def test_a_document_is_left_as_it_is_and_may_be_changed_afterwards(document: Document) -> None:
    before = json.dumps(document)
    panel = load_quickly(document, None, EDITION)
    assert json.dumps(document) == before
    document["components"][0]["interrupting_ratings"][0]["current"] = "10 kA"
    changed = load_quickly(document, None, EDITION)

    assert panel is not None
    assert changed is not None
    assert panel.components[0].interrupting_ratings[0].current == 65_000_000
    assert changed.components[0].interrupting_ratings[0].current == 10_000_000
    assert changed.document_digest != panel.document_digest


def test_a_malformed_text_says_where() -> None:
    with pytest.raises(MalformedJson) as caught:
        sccr.load_panel('{"format": "panel/1",\n "panel" 1}')

    assert (caught.value.line, caught.value.column) == (2, 10)
