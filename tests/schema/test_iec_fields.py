"""What the IEC standards ask for, and several editions: what each field takes, and how each refuses."""

from collections.abc import Callable
from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest

import sccr
from sccr.editions import DEFAULT_EDITION
from sccr.editions import editions
from sccr.errors import InvalidDocument
from sccr.panel.component import BackUpRating
from sccr.panel.component import BreakingCapacity
from sccr.panel.component import Capacity
from sccr.panel.component import ConditionalRating
from sccr.panel.component import LetThrough
from sccr.panel.component import ProtectedBy
from sccr.panel.component import ShortTimeRating
from sccr.panel.component import SupplyType
from sccr.panel.panel import Options
from sccr.panel.panel import Panel
from sccr.panel.voltage import Form
from sccr.panel.voltage import Voltage
from sccr.schema.catalogue import Catalogue
from sccr.schema.digest import digest_of_panel
from sccr.schema.load import load_panel
from tests.schema.test_document import put

Document = dict[str, Any]
Find = Callable[..., list[tuple[str, str]]]
Tell = Callable[..., dict[str, str]]

V400 = Voltage(400_000)
STAR400 = Voltage(400_000, 230_000, Form.WYE)
GG63 = {"device": "fuse", "utilization_categories": ["gG"], "max_ampere_rating": "63 A"}
BREAKER = {
    "id": "-QA1",
    "kind": "circuit_breaker",
    "fed_from": "S1",
    "breaking_capacities": [
        {"voltage": "400 V", "current": "36 kA", "kind": "icu"},
        {"voltage": "400 V", "current": "18 kA", "kind": "ics"},
        {"voltage": "230/400 V", "current": "6 kA", "kind": "icn", "supply": "ac"},
    ],
    "back_up_ratings": [{"line_side": GG63, "voltage": "230/400 V", "current": "50 kA", "reference": "record B-2"}],
    "short_time_ratings": [{"current": "10 kA", "duration": "1 s", "peak": "17 kA"}],
    "clearing_time": "20 ms",
}
FUSE = {
    "id": "-FC1",
    "kind": "fuse",
    "fed_from": "S1",
    "utilization_category": "gG",
    "ampere_rating": "63 A",
    "breaking_capacities": [{"voltage": "500 V", "current": "100 kA", "kind": "fuse"}],
    "let_through": [{"available": "50 kA", "peak": "9 kA", "i2t": "30000 A²s", "voltage": "400 V"}],
    "clearing_time": "0.005 s",
}
CONTACTOR = {
    "id": "-QM1",
    "kind": "contactor",
    "fed_from": "-FC1",
    "conditional_ratings": [{"voltage": "400 V", "current": "50 kA", "protected_by": GG63, "coordination": 2}],
    "short_time_ratings": [{"current": "800 A", "duration": "500 ms"}],
}


@pytest.fixture
def star() -> Document:
    """A panel on 230/400 V with what IEC devices are marked with."""
    supply = {
        "id": "S1",
        "voltage": "230/400 V",
        "system": "solidly_grounded_wye",
        "upstream_protection": {
            "device": "fuse",
            "utilization_category": "gG",
            "ampere_rating": "160 A",
            "breaking_capacities": [{"voltage": "500 V", "current": "120 kA", "kind": "fuse"}],
            "let_through": [{"available": "50 kA", "peak": "15 kA", "voltage": "500 V"}],
            "clearing_time": "5 ms",
        },
    }
    components = deepcopy([BREAKER, FUSE, CONTACTOR])
    components.append({"id": "-XB1", "kind": "bus_bar", "fed_from": "-QA1", "short_time_ratings": []})
    return {
        "format": "panel/1",
        "panel": {"designation": "BE-5"},
        "supplies": [supply],
        "components": components,
        "options": {"service_breaking_capacity": True, "skilled_persons_only": True, "coordination": 2},
    }


def loaded(document: Document) -> Panel:
    return load_panel(document, None, "test-edition")


def refused(document: Document, call: Callable[..., Any] = sccr.load_panel) -> dict[str, tuple[str, str]]:
    with pytest.raises(InvalidDocument) as caught:
        call(document)
    return {each.pointer: (each.code, each.detail) for each in caught.value.problems}


def test_a_breaker_is_read(star: Document) -> None:
    breaker = loaded(star).components[0]

    assert breaker.breaking_capacities == (
        BreakingCapacity(36_000_000, V400, Capacity.ULTIMATE),
        BreakingCapacity(18_000_000, V400, Capacity.SERVICE),
        BreakingCapacity(6_000_000, STAR400, Capacity.RATED, SupplyType.AC),
    )
    behind = ProtectedBy("fuse", max_amperes=63_000, utilization_categories=("gG",))
    assert breaker.back_up_ratings == (BackUpRating(behind, 50_000_000, STAR400, "record B-2"),)
    assert breaker.short_time_ratings == (ShortTimeRating(10_000_000, Decimal(1), 17_000_000),)
    assert breaker.clearing_time == Decimal("0.02")


def test_a_fuse_is_read_with_its_cut_off_current(star: Document) -> None:
    fuse = loaded(star).components[1]

    assert (fuse.utilization_category, fuse.fuse_class, fuse.clearing_time) == ("gG", None, Decimal("0.005"))
    assert fuse.breaking_capacities == (BreakingCapacity(100_000_000, Voltage(500_000), Capacity.FUSE),)
    assert fuse.let_through == (LetThrough(50_000_000, 9_000_000, V400, Decimal(30_000)),)


def test_a_contactor_is_read(star: Document) -> None:
    contactor = loaded(star).components[2]

    behind = ProtectedBy("fuse", max_amperes=63_000, utilization_categories=("gG",))
    assert contactor.conditional_ratings == (ConditionalRating(50_000_000, V400, behind, 2),)
    assert contactor.short_time_ratings == (ShortTimeRating(800_000, Decimal("0.5")),)


def test_a_fuse_upstream_is_told_by_its_category(star: Document) -> None:
    fuse = loaded(star).supplies[0].upstream_protection

    assert fuse is not None
    assert (fuse.utilization_category, fuse.clearing_time) == ("gG", Decimal("0.005"))
    assert fuse.breaking_capacities == (BreakingCapacity(120_000_000, Voltage(500_000), Capacity.FUSE),)
    assert fuse.let_through == (LetThrough(50_000_000, 15_000_000, Voltage(500_000)),)


def test_options_are_read_and_stand_at_their_defaults(star: Document) -> None:
    assert loaded(star).options == Options(service_breaking_capacity=True, skilled_persons_only=True, coordination=2)
    del star["options"]
    options = loaded(star).options
    assert (options.service_breaking_capacity, options.skilled_persons_only, options.coordination) == (False, False, 1)


@pytest.mark.parametrize("written", ["230/400 V", "400Y/230 V", "400/230 V", "0.23/0.4 kV"])
def test_a_star_is_the_same_however_it_is_written(star: Document, written: str) -> None:
    star["supplies"][0]["voltage"] = written
    assert loaded(star).supplies[0].voltage == STAR400


WRONG: list[tuple[str, Any, str]] = [
    ("components/0/breaking_capacities/0/kind", "icw", "unknown-breaking-capacity"),
    ("components/0/breaking_capacities/0/kind", "ICU", "unknown-breaking-capacity"),
    ("components/0/breaking_capacities/0/current", "36", "not-a-quantity"),
    ("components/0/breaking_capacities/0/voltage", "230/300 V", "not-a-quantity"),
    ("components/0/breaking_capacities/0/supply", "AC", "unknown-supply"),
    ("components/0/breaking_capacities", {}, "not-a-list"),
    ("components/0/clearing_time", 20, "not-a-quantity"),
    ("components/0/clearing_time", "20 A", "wrong-dimension"),
    ("components/0/clearing_time", "0 ms", "not-positive"),
    ("components/0/clearing_time", "5.1 s", "out-of-range"),
    ("components/0/clearing_time", "1.000 ms", "ambiguous-number"),
    ("components/0/short_time_ratings/0/duration", "1 min", "unknown-unit"),
    ("components/0/short_time_ratings/0/duration", "6 s", "out-of-range"),
    ("components/0/short_time_ratings/0/peak", "10 kA", "contradiction"),
    ("components/0/short_time_ratings/0/peak", "9 kA", "contradiction"),
    ("components/0/short_time_ratings/0/voltage", "400 V", "unknown-field"),
    ("components/0/back_up_ratings/0/line_side/utilization_categories", [], "wrong-length"),
    ("components/0/back_up_ratings/0/line_side/utilization_categories", ["gg"], "/0 unknown-utilization-category"),
    ("components/0/back_up_ratings/0/line_side/parts", ["OAT-1"], "not-applicable"),
    ("components/0/back_up_ratings/0/line_side", {"device": "fuse"}, "/fuse_classes required"),
    ("components/0/back_up_ratings/0/line_side", {"device": "fuse"}, "/max_ampere_rating required"),
    ("components/1/utilization_category", "gPV", "unknown-utilization-category"),
    ("components/1/breaking_capacities/0/kind", "fuze", "unknown-breaking-capacity"),
    ("components/2/conditional_ratings/0/coordination", 3, "out-of-range"),
    ("components/2/conditional_ratings/0/coordination", "2", "not-an-integer"),
    ("components/2/conditional_ratings/0/protected_by", None, "null"),
    (
        "components/2/conditional_ratings/0/protected_by",
        {"device": "circuit_breaker", "utilization_categories": ["gG"]},
        "/utilization_categories not-applicable",
    ),
    ("supplies/0/upstream_protection/utilization_category", "AC-23", "unknown-utilization-category"),
    ("supplies/0/upstream_protection/clearing_time", "1 h", "unknown-unit"),
    ("supplies/0/upstream_protection/breaking_capacities/0/kind", "icx", "unknown-breaking-capacity"),
    ("supplies/0/upstream_protection/conditional_ratings", [], "unknown-field"),
    ("options/coordination", 0, "out-of-range"),
    ("options/coordination", True, "not-an-integer"),
    ("options/skilled_persons_only", 1, "not-a-flag"),
    ("options/service_breaking_capacity", "no", "not-a-flag"),
    ("editions", [], "wrong-length"),
    ("editions", ["a", "b", "c", "d", "e", "f"], "wrong-length"),
    ("editions", "UL 508A:2018", "not-a-list"),
    ("editions", ["UL 508A:2018", 2018], "/1 not-text"),
]


@pytest.mark.parametrize(("path", "value", "code"), WRONG)
def test_a_wrong_value_is_refused_at_its_place(
    star: Document, problems: Find, path: str, value: Any, code: str
) -> None:
    assert problems(star) == []
    pointer = put(star, path, value)
    below, _, name = code.rpartition(" ")
    assert (pointer + below, name) in problems(star)


@pytest.mark.parametrize(
    "path",
    [
        "components/0/breaking_capacities/0/kind",
        "components/0/short_time_ratings/0/duration",
        "components/0/back_up_ratings/0/line_side",
        "components/2/conditional_ratings/0/protected_by",
        "components/2/conditional_ratings/0/protected_by/max_ampere_rating",
    ],
)
def test_what_is_missing_is_told(star: Document, problems: Find, path: str) -> None:
    place: Any = star
    *way, last = path.split("/")
    for token in way:
        place = place[int(token)] if isinstance(place, list) else place[token]
    del place[last]
    assert (f"/{path}", "required") in problems(star)


RATINGS = {
    "breaking_capacities": [{"voltage": "400 V", "current": "10 kA", "kind": "icu"}],
    "conditional_ratings": [{"voltage": "400 V", "current": "10 kA", "protected_by": GG63}],
    "short_time_ratings": [{"current": "10 kA", "duration": "1 s"}],
    "back_up_ratings": [{"voltage": "400 V", "current": "10 kA", "line_side": GG63}],
    "utilization_category": "gG",
    "clearing_time": "20 ms",
}


@pytest.mark.parametrize(
    ("kind", "field", "remedy"),
    [
        ("contactor", "breaking_capacities", "conditional_ratings or short_time_ratings"),
        ("bus_bar", "breaking_capacities", "short_time_ratings"),
        ("circuit_breaker", "conditional_ratings", "breaking_capacities, or back_up_ratings"),
        ("fuse", "conditional_ratings", "breaking_capacities"),
        ("fuse", "short_time_ratings", "breaking_capacities"),
        ("terminal_block", "back_up_ratings", "conditional_ratings"),
        ("circuit_breaker", "utilization_category", "a component of its own"),
        ("fuseholder", "utilization_category", "protected_by"),
        ("contactor", "clearing_time", "the protective device ahead"),
        ("supplementary_protector", "clearing_time", "the protective device ahead"),
    ],
)
def test_what_a_kind_cannot_have_is_refused_with_its_remedy(
    star: Document, details: Tell, kind: str, field: str, remedy: str
) -> None:
    star["components"].append({"id": "-X9", "kind": kind, "fed_from": "-QA1", field: RATINGS[field]})
    assert remedy in details(star)[f"/components/4/{field}"]


@pytest.mark.parametrize(
    "component",
    [
        {"kind": "supplementary_protector", **{name: RATINGS[name] for name in ("breaking_capacities",)}},
        {"kind": "manual_motor_controller", "self_protected": True, **{k: RATINGS[k] for k in ("clearing_time",)}},
        {"kind": "combination_motor_controller", "breaking_capacities": RATINGS["breaking_capacities"]},
        {"kind": "motor_starter", "conditional_ratings": RATINGS["conditional_ratings"]},
        {"kind": "circuit_breaker", "short_time_ratings": RATINGS["short_time_ratings"]},
        {"kind": "fuse", "back_up_ratings": RATINGS["back_up_ratings"]},
    ],
)
def test_what_a_kind_can_have_is_taken(star: Document, problems: Find, component: Document) -> None:
    star["components"].append({"id": "-X9", "fed_from": "-QA1", **component})
    assert problems(star) == []


@pytest.mark.parametrize(
    ("path", "kind", "remedy"),
    [
        ("components/0/breaking_capacities", "fuse", "write kind icu or ics"),
        ("components/1/breaking_capacities", "icu", "write kind fuse"),
        ("supplies/0/upstream_protection/breaking_capacities", "icn", "write kind fuse"),
    ],
)
def test_a_breaking_capacity_is_of_its_device(star: Document, details: Tell, path: str, kind: str, remedy: str) -> None:
    put(star, path, [{"voltage": "400 V", "current": "10 kA", "kind": kind}])
    found = details(star)
    assert list(found) == [f"/{path}"]
    assert kind in found[f"/{path}"]
    assert remedy in found[f"/{path}"]


def test_a_breaker_upstream_has_no_utilization_category(star: Document, problems: Find) -> None:
    star["supplies"][0]["upstream_protection"] = {"device": "circuit_breaker", "utilization_category": "gG"}
    assert problems(star) == [("/supplies/0/upstream_protection/utilization_category", "not-applicable")]


def test_a_fuse_upstream_is_told_by_something(star: Document, details: Tell) -> None:
    del star["supplies"][0]["upstream_protection"]["utilization_category"]
    assert "utilization_category" in details(star)["/supplies/0/upstream_protection/fuse_class"]


class TestCatalogue:
    def test_a_component_has_what_its_part_is_marked_with(self, star: Document) -> None:
        part = {**{k: v for k, v in BREAKER.items() if k not in ("id", "fed_from")}, "part": "OAT-3P-36"}
        catalogue = Catalogue.from_document({"format": "catalogue/1", "parts": [part]})
        whole = loaded(star).components[0]
        star["components"][0] = {"id": "-QA1", "fed_from": "S1", "part": "OAT-3P-36"}
        completed = load_panel(star, catalogue, "test-edition").components[0]

        for name in ("breaking_capacities", "back_up_ratings", "short_time_ratings", "clearing_time"):
            assert getattr(completed, name) == getattr(whole, name)
            assert name in completed.from_catalogue

    def test_a_fuse_upstream_may_be_a_part(self, star: Document) -> None:
        part = {**{k: v for k, v in FUSE.items() if k not in ("id", "fed_from")}, "part": "HAY-63"}
        catalogue = Catalogue.from_document({"format": "catalogue/1", "parts": [part]})
        star["supplies"][0]["upstream_protection"] = {"device": "fuse", "part": "HAY-63"}
        fuse = load_panel(star, catalogue, "test-edition").supplies[0].upstream_protection

        assert fuse is not None
        assert (fuse.utilization_category, fuse.clearing_time) == ("gG", Decimal("0.005"))

    def test_a_part_is_held_to_its_kind(self) -> None:
        part = {"part": "HAY-63", "kind": "fuse", **RATINGS}
        document = {"format": "catalogue/1", "parts": [part]}
        assert set(refused(document, Catalogue.from_document)) == {
            "/parts/0/breaking_capacities",
            "/parts/0/conditional_ratings",
            "/parts/0/short_time_ratings",
        }


class TestEditions:
    def test_several_are_read_and_the_first_leads(self, star: Document) -> None:
        asked = list(editions())[:2]
        star["editions"] = asked[::-1]
        panel = sccr.load_panel(star)

        assert (panel.editions, panel.edition) == (tuple(asked[::-1]), asked[1])

    def test_a_document_that_names_one_or_none_has_no_several(self, star: Document) -> None:
        assert (sccr.load_panel(star).editions, sccr.load_panel(star).edition) == ((), DEFAULT_EDITION)
        star["edition"] = DEFAULT_EDITION
        assert sccr.load_panel(star).editions == ()

    def test_one_is_not_written_beside_several(self, star: Document) -> None:
        star |= {"edition": DEFAULT_EDITION, "editions": [DEFAULT_EDITION]}
        found = refused(star)
        assert {pointer: code for pointer, (code, _) in found.items()} == {"/editions": "contradiction"}
        assert "edition" in found["/editions"][1]

    def test_each_unknown_name_is_told_with_the_nearest_and_a_name_stands_once(self, star: Document) -> None:
        star["editions"] = ["UL508A 2018", "XYZZY", DEFAULT_EDITION, DEFAULT_EDITION]
        found = refused(star)

        assert {pointer: code for pointer, (code, _) in found.items()} == {
            "/editions/0": "unknown-edition",
            "/editions/1": "unknown-edition",
            "/editions/3": "duplicate-edition",
        }
        assert 'did you mean "UL 508A:2018"?' in found["/editions/0"][1]
        assert DEFAULT_EDITION in found["/editions/1"][1]
        assert "/editions/2" in found["/editions/3"][1]

    def test_they_are_told_beside_all_that_is_wrong_else(self, star: Document) -> None:
        star["editions"] = ["XYZZY", 7]
        star["target"] = "65"
        assert set(refused(star)) == {"/editions/0", "/editions/1", "/target"}

    def test_one_rating_is_refused_with_the_way_to_several(self, star: Document) -> None:
        star["editions"] = [DEFAULT_EDITION]
        ((pointer, (code, detail)),) = refused(star, sccr.rate).items()

        assert (pointer, code) == ("/editions", "several-editions")
        assert "rate_editions" in detail

    def test_what_is_asked_for_is_part_of_the_digest(self, star: Document) -> None:
        before = digest_of_panel(star)
        star["editions"] = [DEFAULT_EDITION]
        assert sccr.load_panel(star).document_digest == digest_of_panel(star) != before
