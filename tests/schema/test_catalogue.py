"""The catalogue: parts read once, and what a component takes from its part."""

import json
from collections.abc import Callable
from decimal import Decimal
from difflib import SequenceMatcher
from hashlib import sha256
from heapq import nlargest
from typing import Any

import pytest
import rfc8785

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.panel.component import InterruptingRating
from sccr.panel.kinds import kinds
from sccr.panel.panel import Panel
from sccr.panel.voltage import Voltage
from sccr.schema.catalogue import Catalogue
from sccr.schema.load import load_panel

Document = dict[str, Any]
Find = Callable[..., list[tuple[str, str]]]
Tell = Callable[..., dict[str, str]]


def grain_parts() -> Document:
    return {
        "format": "catalogue/1",
        "title": "Parts of the elevator range",
        "note": "invented",
        "parts": [
            {
                "part": "NB-3P-30",
                "kind": "circuit_breaker",
                "poles": 3,
                "ampere_rating": "30 A",
                "voltage_rating": "480 V",
                "interrupting_ratings": [{"voltage": "480 V", "current": "25 kA"}],
                "standards": ["UL 489"],
                "description": "breaker, 3 poles, 30 A",
                "price": "48.50",
                "stock": 12,
            },
            {
                "part": "TX-5K",
                "kind": "transformer",
                "transformer": {"kva": "5 kVA", "primary": "480 V", "secondary": ["120 V", "24 V"]},
                "price": 310,
            },
            {"part": "HJ-30", "kind": "fuseholder", "fuse_class": "J", "price": 12.25, "stock": 0},
            {"part": "FJ-30", "kind": "fuse", "fuse_class": "J", "ampere_rating": "30 A"},
        ],
    }


@pytest.fixture
def parts() -> Document:
    return grain_parts()


@pytest.fixture
def catalogue(parts: Document) -> Catalogue:
    return Catalogue.from_document(parts)


def wrong(document: Any) -> list[tuple[str, str]]:
    with pytest.raises(InvalidDocument) as caught:
        Catalogue.from_document(document)
    return [(problem.pointer, problem.code) for problem in caught.value.problems]


def panel(catalogue: Catalogue | None, *components: Document) -> Panel:
    return load_panel(panel_document(*components), catalogue, "test-edition")


def panel_document(*components: Document) -> Document:
    return {
        "format": "panel/1",
        "panel": {"designation": "DC-1"},
        "supplies": [{"id": "S1", "voltage": "480 V", "system": "ungrounded_delta"}],
        "components": list(components),
    }


def test_a_part_is_looked_up(catalogue: Catalogue) -> None:
    part = catalogue.lookup("NB-3P-30")

    assert part is not None
    assert (part.part, part.kind, part.description) == (
        "NB-3P-30",
        kinds()["circuit_breaker"],
        "breaker, 3 poles, 30 A",
    )
    assert (part.price, part.stock) == (Decimal("48.50"), 12)
    assert part.fields["ampere_rating"] == 30_000
    assert catalogue.lookup("NB-3P-31") is None
    assert (catalogue.title, catalogue.note, len(catalogue.parts)) == ("Parts of the elevator range", "invented", 4)


def test_prices_are_exact_however_they_are_written(catalogue: Catalogue) -> None:
    prices = [catalogue.parts[part].price for part in ("TX-5K", "HJ-30", "FJ-30")]
    assert prices == [Decimal(310), Decimal("12.25"), None]


@pytest.mark.parametrize("price", [1e-7, 5.0, 0.1 + 0.2, -0.0, 99_999_999_999.5, 10**12, "0.10"])
def test_the_digest_of_a_part_is_canonical_whatever_is_written_in_it(price: float | str) -> None:
    part = {"part": 'é🌾\\"/', "kind": "contactor", "price": price, "description": "Ψ < & >", "poles": 3}
    catalogue = Catalogue.from_document({"format": "catalogue/1", "parts": [part]})
    assert catalogue.parts[part["part"]].digest == sha256(rfc8785.dumps(part)).hexdigest()


def test_a_catalogue_keeps_its_digest_though_the_document_is_changed_afterwards(parts: Document) -> None:
    catalogue = Catalogue.from_document(parts)
    before = catalogue.digest
    parts["parts"][0]["poles"] = 1
    assert (catalogue.digest, catalogue.parts["NB-3P-30"].fields["poles"]) == (before, 3)


@pytest.fixture(scope="module")
def large() -> Catalogue:
    numbers = [f"{crop}-{size:05d}" for crop in ("OAT", "RYE", "BARLEY") for size in range(7_500)]
    parts = [{"part": number, "kind": "contactor"} for number in numbers]
    return Catalogue.from_document({"format": "catalogue/1", "parts": parts})


class TestNearNumbers:
    """Of a large catalogue only likely numbers are compared: it must find what a comparison with all would find."""

    @pytest.mark.parametrize(
        "wrong",
        ["barley 01234", "BARLEY-012344", "OTA-07123", "RYE_0O321", "02450", "OAT-123", "BRLEY7499", "RYE-8500"],
    )
    def test_they_are_as_near_as_those_that_a_comparison_with_all_would_find(
        self, large: Catalogue, wrong: str
    ) -> None:
        def likeness(number: str) -> float:
            bare = [name.casefold().replace("-", "").replace("_", "").replace(" ", "") for name in (number, wrong)]
            return SequenceMatcher(None, *bare).ratio()

        found = list(map(likeness, large.near_to(wrong)))
        assert found == nlargest(3, map(likeness, large.parts))

    def test_one_that_differs_in_case_and_separators_is_the_first(self, large: Catalogue) -> None:
        assert large.near_to("barley 012.34", 1) == ["BARLEY-01234"]

    @pytest.mark.parametrize("wrong", ["", "?", "X", "something quite different", "x" * 65])
    def test_where_none_is_near_none_is_offered(self, large: Catalogue, wrong: str) -> None:
        assert large.near_to(wrong) == []

    def test_as_many_as_are_asked_for(self, large: Catalogue) -> None:
        assert [len(large.near_to("OAT-0123", count)) for count in (1, 2, 3)] == [1, 2, 3]


def test_the_digest_is_that_of_the_canonical_parts(parts: Document) -> None:
    """A line a part: the digest of its canonical form (RFC 8785) and its number, in the order of the numbers."""
    digests = {part["part"]: sha256(rfc8785.dumps(part)).hexdigest() for part in parts["parts"]}
    lines = "".join(f"{digests[number]} {number}\n" for number in sorted(digests))
    digest = sha256(lines.encode()).hexdigest()

    assert Catalogue.from_document(parts).digest == digest
    assert {number: part.digest for number, part in Catalogue.from_document(parts).parts.items()} == digests
    assert Catalogue.from_document(json.dumps(parts, indent=3)).digest == digest
    parts["parts"].reverse()
    parts["note"] = "another"
    assert Catalogue.from_document(parts).digest == digest
    parts["parts"][0]["description"] = "another"
    assert Catalogue.from_document(parts).digest != digest


def test_text_is_read_strictly(parts: Document) -> None:
    with pytest.raises(MalformedJson):
        Catalogue.from_document(json.dumps(parts).replace("310", "NaN"))
    assert wrong(json.dumps(parts).replace('"stock": 0', '"stock": 0, "stock": 1')) == [
        ("/parts/2/stock", "duplicate-key")
    ]


def test_everything_that_is_wrong_is_told_at_once(parts: Document) -> None:
    del parts["format"]
    parts["titel"] = "x"
    parts["parts"][0] |= {"price": "48,50", "stock": -1, "circuit": "power", "poles": "3"}
    parts["parts"][1] |= {"id": "-TA1", "interrupting_ratings": []}
    parts["parts"][2] |= {"part": "NB-3P-30", "kind": "fuse holder"}
    parts["parts"][3] = {"part": "NB-3P-30", "fed_from": "S1"}
    parts["parts"] += [None, {"kind": "fuse", "price": float("nan"), "exempt": {"reason": "x"}}]
    assert wrong(parts) == [
        ("/parts/0/poles", "not-an-integer"),
        ("/parts/0/price", "not-a-price"),
        ("/parts/0/stock", "out-of-range"),
        ("/parts/0/circuit", "unknown-field"),
        ("/parts/1/id", "unknown-field"),
        ("/parts/1/interrupting_ratings", "not-applicable"),
        ("/parts/2/part", "duplicate-part"),
        ("/parts/2/kind", "unknown-kind"),
        ("/parts/3/part", "duplicate-part"),
        ("/parts/3/fed_from", "unknown-field"),
        ("/parts/3/kind", "required"),
        ("/parts/4", "not-an-object"),
        ("/parts/5/price", "not-a-price"),
        ("/parts/5/exempt", "unknown-field"),
        ("/parts/5/exempt", "not-applicable"),
        ("/parts/5/part", "required"),
        ("/titel", "unknown-field"),
        ("/format", "required"),
    ]


@pytest.mark.parametrize(
    "document", [None, [], 3, {"format": "catalogue/1", "parts": {}}, {"format": "panel/1", "parts": []}]
)
def test_what_is_no_catalogue_is_refused(document: Any) -> None:
    assert len(wrong(document)) == 1


@pytest.mark.parametrize("price", [-1, "-1", "1e3", "12,50", "12.50 USD", "", True, None, [], float("inf"), 10**13])
def test_what_is_no_price_is_refused(parts: Document, price: Any) -> None:
    parts["parts"][0]["price"] = price
    assert [pointer for pointer, _ in wrong(parts)] == ["/parts/0/price"]


def test_what_a_component_leaves_out_is_taken_from_its_part(catalogue: Catalogue) -> None:
    breaker = panel(catalogue, {"id": "-QA1", "fed_from": "S1", "part": "NB-3P-30"}).components[0]

    assert (breaker.kind.name, breaker.poles, breaker.amperes, breaker.standards) == (
        "circuit_breaker",
        3,
        30_000,
        ("UL 489",),
    )
    assert breaker.interrupting_ratings == (InterruptingRating(25_000_000, Voltage(480_000)),)
    assert breaker.from_catalogue == {
        "kind",
        "poles",
        "ampere_rating",
        "voltage_rating",
        "interrupting_ratings",
        "standards",
    }


def test_what_a_component_states_stands(catalogue: Catalogue) -> None:
    stated = {
        "id": "-QA1",
        "fed_from": "S1",
        "part": "NB-3P-30",
        "kind": "circuit_breaker",
        "ampere_rating": "25 A",
        "interrupting_ratings": [],
    }
    breaker = panel(catalogue, stated).components[0]
    assert (breaker.amperes, breaker.interrupting_ratings) == (25_000, ())
    assert breaker.from_catalogue == {"poles", "voltage_rating", "standards"}


def test_a_part_is_read_once_for_all_components(catalogue: Catalogue) -> None:
    first, second = panel(
        catalogue,
        {"id": "-QA1", "fed_from": "S1", "part": "NB-3P-30"},
        {"id": "-QA2", "fed_from": "S1", "part": "NB-3P-30"},
    ).components
    assert first.interrupting_ratings is second.interrupting_ratings


def test_the_panel_names_the_catalogue(catalogue: Catalogue) -> None:
    component = {"id": "-QA1", "fed_from": "S1", "part": "NB-3P-30"}
    assert panel(catalogue, component).catalogue_digest == catalogue.digest
    assert panel(None, {**component, "kind": "circuit_breaker"}).catalogue_digest is None


def test_windings_are_known_from_the_part(catalogue: Catalogue, problems: Find) -> None:
    transformer = {"id": "-TA1", "fed_from": "S1", "part": "TX-5K"}
    good = panel_document(transformer, {"id": "-X1", "kind": "terminal_block", "fed_from": "-TA1/2"})
    bad = panel_document(transformer, {"id": "-X1", "kind": "terminal_block", "fed_from": "-TA1/3"})
    assert problems(good, catalogue) == []
    assert problems(bad, catalogue) == [("/components/1/fed_from", "winding-unknown")]


def test_a_part_that_is_unknown_is_told_with_those_that_are_near(catalogue: Catalogue, details: Tell) -> None:
    told = details(panel_document({"id": "-QA1", "fed_from": "S1", "part": "NB-3P-3O"}), catalogue)
    assert 'did you mean "NB-3P-30"' in told["/components/0/part"]
    assert "/components/0/kind" not in told  # it is the part that is to be corrected


def test_without_a_catalogue_a_part_is_a_label(problems: Find) -> None:
    labelled = {"id": "-QA1", "fed_from": "S1", "part": "NB-3P-30"}
    assert problems(panel_document(labelled)) == [("/components/0/kind", "required")]
    breaker = panel(None, {**labelled, "kind": "circuit_breaker"}).components[0]
    assert (breaker.part, breaker.amperes, breaker.from_catalogue) == ("NB-3P-30", None, frozenset())


def test_a_component_is_not_of_another_kind_than_its_part(catalogue: Catalogue, problems: Find) -> None:
    fuse = {"id": "-FU1", "fed_from": "S1", "part": "HJ-30", "kind": "fuse"}
    assert ("/components/0/kind", "contradiction") in problems(panel_document(fuse), catalogue)


def test_what_is_wrong_with_a_part_in_its_place_is_told_at_the_part(catalogue: Catalogue, problems: Find) -> None:
    transformer = {"id": "-TA1", "fed_from": "S1", "part": "TX-5K", "kind": "reactor"}
    assert ("/components/0/part", "not-applicable") in problems(panel_document(transformer), catalogue)


def test_an_exemption_of_a_part_that_protects_is_refused(catalogue: Catalogue, problems: Find) -> None:
    breaker = {"id": "-QA1", "fed_from": "S1", "part": "NB-3P-30", "exempt": {"reason": "none"}}
    assert problems(panel_document(breaker), catalogue) == [("/components/0/exempt", "not-applicable")]


def test_upstream_protection_may_be_a_part(catalogue: Catalogue, problems: Find) -> None:
    document = panel_document({"id": "-QA1", "fed_from": "S1", "part": "NB-3P-30"})
    document["supplies"][0]["upstream_protection"] = {"device": "fuse", "part": "FJ-30"}
    fuse = load_panel(document, catalogue, "test-edition").supplies[0].upstream_protection
    assert fuse is not None
    assert (fuse.fuse_class, fuse.amperes, fuse.from_catalogue) == (
        "J",
        30_000,
        frozenset({"fuse_class", "ampere_rating"}),
    )

    document["supplies"][0]["upstream_protection"] = {"device": "circuit_breaker", "part": "FJ-30"}
    assert problems(document, catalogue) == [("/supplies/0/upstream_protection/device", "contradiction")]
    document["supplies"][0]["upstream_protection"] = {"device": "fuse", "part": "FJ-31"}
    assert problems(document, catalogue) == [("/supplies/0/upstream_protection/part", "unknown-part")]


def test_a_part_that_the_catalogue_lacks_is_one_problem(catalogue: Catalogue, problems: Find) -> None:
    document = panel_document({"id": "-QA1", "fed_from": "S1", "part": "NB-3P-31"})
    assert problems(document, catalogue) == [("/components/0/part", "unknown-part")]
    assert problems(document) == [("/components/0/kind", "required")]
