"""From document to panel: who feeds whom, everything wrong at once and in order, and never another error."""

import json
import pickle
import time
from collections.abc import Callable
from hashlib import sha256
from typing import Any

import networkx as nx
import pytest
import rfc8785
from hypothesis import HealthCheck
from hypothesis import given
from hypothesis import settings
from hypothesis import strategies as st

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.errors import Problem
from sccr.schema.catalogue import Catalogue
from sccr.schema.load import load_panel
from sccr.schema.loops import loops

Document = dict[str, Any]
Find = Callable[..., list[tuple[str, str]]]
Tell = Callable[..., dict[str, str]]


def chain(*feeds: tuple[str, Any], kind: str = "terminal_block") -> Document:
    """Return a panel of terminals, each with what it is fed from."""
    return {
        "format": "panel/1",
        "panel": {"designation": "CV-2"},
        "supplies": [{"id": "S1", "voltage": "480 V", "system": "ungrounded_delta"}],
        "components": [{"id": name, "kind": kind, "fed_from": source} for name, source in feeds],
    }


class TestFedFrom:
    def test_components_stand_in_any_order(self, problems: Find) -> None:
        assert problems(chain(("-X3", "-X2"), ("-X2", ["-X1", "S1"]), ("-X1", "S1"))) == []

    def test_an_id_stands_once(self, problems: Find) -> None:
        document = chain(("-X1", "S1"), ("S1", "-X1"), ("-X1", "S1"))
        document["supplies"].append({**document["supplies"][0]})
        assert problems(document) == [
            ("/supplies/1/id", "duplicate-id"),
            ("/components/1/id", "duplicate-id"),
            ("/components/2/id", "duplicate-id"),
        ]

    def test_a_duplicate_says_where_the_other_is(self, details: Tell) -> None:
        assert "/components/0 " in details(chain(("-X1", "S1"), ("-X1", "S1")))["/components/1/id"]

    def test_a_name_that_leads_nowhere_is_told_with_the_nearest(self, details: Tell) -> None:
        told = details(chain(("-XT1", "S1"), ("-XT2", "-TX1"), ("-XT3", ["S1", "-XT-1"])))
        assert 'did you mean "-XT1"?' in told["/components/1/fed_from"]
        assert 'did you mean "-XT1"?' in told["/components/2/fed_from/1"]

    def test_what_hangs_behind_a_wrong_name_is_right_once_the_name_is(self, problems: Find) -> None:
        assert problems(chain(("-X1", "S9"), ("-X2", "-X1"))) == [("/components/0/fed_from", "fed-from-unknown")]

    def test_what_hangs_behind_a_wrong_id_is_right_once_the_id_is(self, problems: Find) -> None:
        assert problems(chain(("-X1 ", "S1"), ("-X2", "-X1 "))) == [
            ("/components/0/id", "not-an-id"),
            ("/components/1/fed_from", "not-an-id"),
        ]

    def test_nothing_feeds_itself(self, details: Tell) -> None:
        assert details(chain(("-X1", ["S1", "-X1"]))) == {"/components/0/fed_from/1": "is fed from itself"}

    def test_a_loop_is_told_once_with_its_members_in_order(self, details: Tell) -> None:
        document = chain(("-X1", "S1"), ("-X4", "-X3"), ("-X2", ["-X1", "-X4"]), ("-X3", "-X2"))
        assert details(document) == {"/components/1/fed_from": "is in a loop: -X4 feeds -X2 feeds -X3 feeds -X4"}

    def test_a_loop_is_told_in_its_shortest_form(self, details: Tell) -> None:
        document = chain(("-X1", ["S1", "-X3", "-X5"]), ("-X2", "-X1"), ("-X3", "-X2"), ("-X4", "-X3"), ("-X5", "-X4"))
        assert details(document) == {"/components/0/fed_from/1": "is in a loop: -X1 feeds -X2 feeds -X3 feeds -X1"}

    def test_every_knot_has_its_loop(self, problems: Find) -> None:
        document = chain(("-X1", ["S1", "-X2"]), ("-X2", "-X1"), ("-X3", ["-X2", "-X4"]), ("-X4", "-X3"))
        assert problems(document) == [("/components/0/fed_from/1", "loop"), ("/components/2/fed_from/1", "loop")]

    def test_what_no_supply_reaches_is_told(self, problems: Find) -> None:
        document = chain(("-X1", "-X2"), ("-X2", "-X1"), ("-X3", "-X2"), ("-X4", "-X3"), ("-X5", ["-X4", "S1"]))
        assert problems(document) == [
            ("/components/0/fed_from", "loop"),
            ("/components/2/fed_from", "unreachable"),
            ("/components/3/fed_from", "unreachable"),
        ]

    def test_a_long_loop_is_told_shortly(self, details: Tell) -> None:
        document = chain(("-X0", "-X499"), *((f"-X{number}", f"-X{number - 1}") for number in range(1, 500)))
        assert len(details(document)["/components/0/fed_from"]) < 200

    def test_the_upstream_protection_of_a_supply_feeds_nothing_by_name(self, problems: Find) -> None:
        assert problems(chain(("-X1", "S1:upstream"))) == [("/components/0/fed_from", "fed-from-unknown")]

    def test_the_name_of_upstream_protection_is_reserved(self, problems: Find) -> None:
        assert problems(chain(("S1:upstream", "S1"))) == [("/components/0/id", "duplicate-id")]

    def test_without_supplies_the_components_are_not_blamed(self, problems: Find) -> None:
        document = chain(("-X1", "S1"), ("-X1", "S1"))
        document["supplies"] = "S1"
        assert problems(document) == [("/supplies", "not-a-list"), ("/components/1/id", "duplicate-id")]


class TestWindings:
    @staticmethod
    def behind(name: str, nameplate: Any) -> Document:
        document = chain(("-TA1", "S1"), kind="transformer")
        document["components"].append({"id": "-X1", "kind": "terminal_block", "fed_from": name})
        if nameplate is not None:
            document["components"][0]["transformer"] = nameplate
        return document

    def test_the_only_winding_may_be_named_or_not(self, problems: Find) -> None:
        for name in ("-TA1", "-TA1/1"):
            assert problems(self.behind(name, {"secondary": "120 V"})) == []

    def test_of_several_windings_one_has_to_be_named(self, details: Tell) -> None:
        told = details(self.behind("-TA1", {"secondary": ["120 V", "24 V"]}))
        assert 'has 2 windings; name the one, such as "-TA1/1"' in told["/components/1/fed_from"]

    @pytest.mark.parametrize("number", ["0", "3", "02", "00", "99"])
    def test_a_winding_that_is_not_there_is_told(self, problems: Find, details: Tell, number: str) -> None:
        document = self.behind(f"-TA1/{number}", {"secondary": ["120 V", "24 V"]})
        assert problems(document) == [("/components/1/fed_from", "winding-unknown")]
        assert "its windings are -TA1/1 to -TA1/2" in details(document)["/components/1/fed_from"]

    @pytest.mark.parametrize("name", ["-TA1/", "-TA1/x", "-TA1/-1", "-TA1/1/1", "-TA1/٢", "S1/1"])
    def test_what_is_no_number_of_a_winding_is_an_unknown_name(self, problems: Find, name: str) -> None:
        document = self.behind(name, {"secondary": ["120 V", "24 V"]})
        assert problems(document) == [("/components/1/fed_from", "fed-from-unknown")]

    def test_what_is_no_transformer_has_no_windings(self, problems: Find) -> None:
        assert problems(chain(("-X1", "S1"), ("-X2", "-X1/1"))) == [("/components/1/fed_from", "fed-from-unknown")]

    def test_a_transformer_that_feeds_something_tells_its_secondary(self, problems: Find) -> None:
        for name in ("-TA1", "-TA1/1"):
            assert problems(self.behind(name, None)) == [("/components/0/transformer", "required")]
            assert problems(self.behind(name, {"kva": "5 kVA"})) == [
                ("/components/0/transformer/secondary", "required")
            ]

    def test_a_transformer_that_feeds_nothing_need_not(self, problems: Find) -> None:
        assert problems(chain(("-TA1", "S1"), kind="transformer")) == []

    def test_a_nameplate_that_cannot_be_read_blames_nothing_behind_it(self, problems: Find) -> None:
        document = self.behind("-TA1/2", {"secondary": ["120 V", "24"]})
        assert problems(document) == [("/components/0/transformer/secondary/1", "not-a-quantity")]

    def test_the_same_winding_twice_is_a_repetition(self, problems: Find) -> None:
        assert problems(self.behind("-TA1", {"secondary": "120 V"})) == []
        document = self.behind("-TA1", {"secondary": "120 V"})
        document["components"][1]["fed_from"] = ["-TA1", "-TA1/1"]
        assert problems(document) == [("/components/1/fed_from/1", "repeated")]

    def test_the_name_of_a_winding_is_reserved(self, problems: Find) -> None:
        document = self.behind("-TA1/1", {"secondary": ["120 V", "24 V"]})
        document["components"][1] |= {"id": "-TA1/2"}
        assert problems(document) == [("/components/1/id", "duplicate-id")]

    def test_an_id_may_hold_a_stroke(self, problems: Find) -> None:
        assert problems(chain(("-X1", "S1"), ("-X1/1", "-X1"), ("-X2", "-X1/1"))) == []


@given(data=st.data(), size=st.integers(1, 12))
def test_loops_are_those_of_the_graph(data: st.DataObject, size: int) -> None:
    numbers = st.integers(0, size - 1)
    parents = data.draw(st.lists(st.lists(numbers, max_size=3, unique=True), min_size=size, max_size=size))
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(range(size))
    graph.add_edges_from((source, number) for number, sources in enumerate(parents) for source in sources)
    knots = [knot for knot in nx.strongly_connected_components(graph) if len(knot) > 1 or graph.has_edge(*[*knot] * 2)]

    found = list(loops(parents))

    assert sorted(min(loop) for loop in found) == sorted(min(knot) for knot in knots)
    for loop in found:
        assert loop[0] == min(loop)
        assert all(graph.has_edge(*pair) for pair in zip(loop, [*loop[1:], loop[0]], strict=True))
        back = min(
            nx.shortest_path_length(graph, each, loop[0])
            for each in graph.successors(loop[0])
            if nx.has_path(graph, each, loop[0])
        )
        assert len(loop) == back + 1


class TestEverythingAtOnce:
    def test_in_the_order_of_the_document(self, document: Document, problems: Find) -> None:
        document["components"][5]["fed_from"] = "-TA1"
        document["components"][3]["id"] = "-QM2"
        document["components"][2]["short_circuit_ratings"][1]["protected_by"]["max_ampere_rating"] = "30"
        document["components"][2]["horsepower"] = "10 HP"
        document["components"][0]["kind"] = "circuit-breaker"
        document["components"][0]["ampere_ratng"] = "30 A"
        document["supplies"][0]["system"] = "ungrounded_delta"
        document["panel"]["designation"] = None
        document["target"] = 65
        document["rating"] = "65 kA"
        del document["format"]
        assert problems(document) == [
            ("/panel/designation", "null"),
            ("/supplies/0/voltage", "contradiction"),
            ("/components/0/kind", "unknown-kind"),
            ("/components/0/ampere_ratng", "unknown-field"),
            ("/components/2/horsepower", "unknown-unit"),
            ("/components/2/short_circuit_ratings/1/protected_by/max_ampere_rating", "not-a-quantity"),
            ("/components/3/id", "duplicate-id"),
            ("/components/5/fed_from", "winding-not-named"),
            ("/target", "not-a-quantity"),
            ("/rating", "unknown-field"),
            ("/format", "required"),
        ]

    def test_in_text_as_in_a_mapping(self, document: Document, problems: Find) -> None:
        document["components"][0]["poles"] = "3"
        document["panel"]["title"] = "a\nb"
        document["components"][4]["fed_from"] = "-QA9"
        expected = problems(document)
        assert len(expected) == 3
        assert problems(json.dumps(document, ensure_ascii=False)) == expected[:1]  # what no text of JSON should hold
        document["panel"]["title"] = "ab"
        assert problems(json.dumps(document).encode()) == expected[1:]

    def test_the_error_repeats_every_problem(self, document: Document) -> None:
        document["target"] = 65
        document["components"][0]["poles"] = 9
        with pytest.raises(InvalidDocument, match=r"/components/0/poles: .*; /target: .*"):
            load_panel(document, None, "test-edition")


class TestDigest:
    def test_is_that_of_the_canonical_document(self, document: Document) -> None:
        expected = sha256(rfc8785.dumps(document)).hexdigest()
        assert load_panel(document, None, "x").document_digest == expected
        text = json.dumps(dict(reversed(document.items())), indent=2)
        assert load_panel(text, None, "x").document_digest == expected
        assert load_panel(text.encode(), None, "x").document_digest == expected

    def test_is_that_of_the_canonical_document_with_a_source(self, document: Document) -> None:
        supply = document["supplies"][0]
        supply["source"] = {
            "title": "\U0001f69c \ufb33",
            "utility": {"voltage": "13.8 kV", "available": "500 MVA", "x_over_r": 1e1},
            "elements": [
                {
                    "transformer": {
                        "kva": "500 kVA",
                        "primary": "13.8 kV",
                        "secondary": "480Y/277 V",
                        "impedance": "5 %",
                        "x_over_r": 0.1,
                    }
                }
            ],
        }
        expected = sha256(rfc8785.dumps(document)).hexdigest()
        assert load_panel(document, None, "x").document_digest == expected

    @given(text=st.text(st.characters(exclude_categories=("Cc", "Cs")), min_size=1, max_size=20).filter(str.strip))
    def test_is_the_same_for_every_text(self, elevator: Callable[[], Document], text: str) -> None:
        document = elevator()
        document["panel"]["title"] = text
        expected = sha256(rfc8785.dumps(document)).hexdigest()
        assert load_panel(document, None, "x").document_digest == expected

    def test_changes_with_the_document(self, document: Document) -> None:
        before = load_panel(document, None, "x").document_digest
        document["components"][0]["ampere_rating"] = "100A"
        assert load_panel(document, None, "x").document_digest != before

    def test_does_not_hang_on_the_default_edition(self, document: Document) -> None:
        first, second = (load_panel(document, None, edition) for edition in ("a", "b"))
        assert first.document_digest == second.document_digest
        assert (first.edition, second.edition) == ("a", "b")


def test_the_edition_of_the_document_stands(document: Document) -> None:
    document["edition"] = "UL 508A:2018"
    assert load_panel(document, None, "x").edition == "UL 508A:2018"


def test_the_document_is_left_as_it_is(document: Document, elevator: Callable[[], Document]) -> None:
    load_panel(document, None, "x")
    assert document == elevator()


def test_a_panel_can_be_sent_to_another_process(document: Document) -> None:
    panel = load_panel(document, None, "x")
    assert pickle.loads(pickle.dumps(panel)) == panel


@pytest.mark.parametrize("document", [None, [], "[]", 3, b"3", '"panel"', {}.keys(), object()])
def test_what_is_no_object_is_no_document(document: Any, problems: Find) -> None:
    assert problems(document) == [("", "not-an-object")]


@pytest.mark.parametrize("text", ["", "{", '{"format": NaN}', b"\xff", "[" * 100_000])
def test_what_is_not_json_is_no_document(text: str | bytes) -> None:
    with pytest.raises(MalformedJson):
        load_panel(text, None, "x")


def test_repeated_keys_are_told_with_their_place(document: Document, problems: Find) -> None:
    text = json.dumps(document).replace('"poles": 3', '"poles": 3, "poles": 2')
    assert problems(text) == [("/components/0/poles", "duplicate-key"), ("/components/1/poles", "duplicate-key")]


def resolves(document: Any, problem: Problem) -> bool:
    """Whether a pointer leads to a member of the document, or to a member that an object of it lacks."""
    tokens = [token.replace("~1", "/").replace("~0", "~") for token in problem.pointer.split("/")[1:]]
    place = document
    for number, token in enumerate(tokens):
        if isinstance(place, list) and token.isdecimal() and int(token) < len(place):
            place = place[int(token)]
        elif isinstance(place, dict) and token in place:
            place = place[token]
        else:
            return isinstance(place, dict) and problem.code == "required" and number == len(tokens) - 1
    return True


NUMBERS = st.integers(-5, 10**20) | st.floats() | st.booleans() | st.none()
WORDS = st.sampled_from(
    [
        "S1",
        "-QA1",
        "-TA1/2",
        "-TA1",
        "J",
        "dc",
        "fuse",
        "transformer",
        "65 kA",
        "480Y/277 V",
        "240/120 V",
        "field",
        "",
        "a/b~c",
        "\ud800",
    ]
)
NAMES = st.sampled_from(
    [
        "id",
        "kind",
        "fed_from",
        "part",
        "transformer",
        "source",
        "poles",
        "exempt",
        "_schema",
        "",
        "~/",
        "interrupting_ratings",
    ]
)
VALUES = st.recursive(
    NUMBERS | WORDS | st.text(max_size=6) | st.just((1,)) | st.just(b"x"),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES | st.integers() | st.none(), inner, max_size=3),
    max_leaves=6,
)
CATALOGUE = Catalogue.from_document(
    {
        "format": "catalogue/1",
        "parts": [
            {"part": "NB-3P-30", "kind": "circuit_breaker", "poles": 3},
            {"part": "S1", "kind": "transformer", "transformer": {"secondary": ["24 V", "120 V"]}},
            {"part": "J", "kind": "fuse", "fuse_class": "J"},
        ],
    }
)


def mutate(data: st.DataObject, document: Any) -> None:
    """Change, add, or take away one member somewhere in the document."""
    place = document
    while True:
        keys = list(place) if isinstance(place, dict) else list(range(len(place)))
        key = data.draw(st.sampled_from(keys)) if keys else None
        inner = place[key] if key is not None else None
        if isinstance(inner, dict | list) and inner and data.draw(st.integers(0, 5)):
            place = inner
            continue
        break
    action = data.draw(st.sampled_from(["change", "remove", "add", "copy"]))
    if action == "remove" and key is not None:
        del place[key]
    elif action == "copy" and isinstance(place, list) and key is not None:
        place.append(place[key])
    elif action == "add" or key is None:
        value = data.draw(VALUES)
        if isinstance(place, dict):
            place[data.draw(NAMES | st.integers() | st.text(max_size=5))] = value
        else:
            place.append(value)
    else:
        place[key] = data.draw(VALUES)


@settings(max_examples=600, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large], deadline=None)
@given(data=st.data(), times=st.integers(1, 4), with_catalogue=st.booleans())
def test_a_spoiled_document_gives_problems_at_places_that_are_there(
    elevator: Callable[[], Document], data: st.DataObject, times: int, with_catalogue: bool
) -> None:
    document = elevator()
    for _ in range(times):
        mutate(data, document)
    try:
        panel = load_panel(document, CATALOGUE if with_catalogue else None, "x")
    except InvalidDocument as error:
        assert error.problems
        for problem in error.problems:
            assert resolves(document, problem), problem
            assert problem.code and problem.detail
            problem.pointer.encode()
            problem.detail.encode()
    else:
        assert len(panel.components) == len(document["components"])


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_a_spoiled_text_gives_problems_or_is_malformed(elevator: Callable[[], Document], data: st.DataObject) -> None:
    text = json.dumps(elevator())
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, min(len(text), start + 12)))
    spoiled = text[:start] + data.draw(st.text(alphabet='{}[]":,019eE-\\u \x00nulfase', max_size=4)) + text[end:]
    try:
        load_panel(spoiled, None, "x")
    except (InvalidDocument, MalformedJson) as error:
        assert str(error)


def test_ten_thousand_wrong_names_take_seconds_not_hours() -> None:
    document = chain(*((f"-X{number}", f"-Y{number}") for number in range(10_000)))
    start = time.process_time()
    with pytest.raises(InvalidDocument) as caught:
        load_panel(document, None, "x")
    assert [problem.code for problem in caught.value.problems] == ["fed-from-unknown"] * 10_000
    assert time.process_time() - start < 30


def test_of_more_than_ten_thousand_problems_the_first_are_told_and_that_there_are_more() -> None:
    """A body of 2 MiB had a million, in lists within lists, and took twenty seconds to be refused."""
    document = chain(*((f"-X{number}", "S1") for number in range(1_000)))
    for component in document["components"]:
        component["let_through"] = [{"strange": number} for number in range(100)]
    with pytest.raises(InvalidDocument) as caught:
        load_panel(document, None, "x")
    *told, last = caught.value.problems
    assert len(told) == 10_000
    assert {problem.pointer.split("/")[2] for problem in told} == {str(number) for number in range(25)}
    assert last.pointer.startswith("/components/25/let_through/")
    assert last.code == "too-many-problems"


def test_what_was_not_read_for_so_many_problems_is_not_missed() -> None:
    """What is fed from a component that was left unread is fed from something that is there."""
    document = chain(*((f"-X{number}", f"-X{number + 1}") for number in range(11_000)), ("-X11000", "S1"))
    for component in document["components"]:
        component["kindd"] = 1
    with pytest.raises(InvalidDocument) as caught:
        load_panel(document, None, "x")
    assert {problem.code for problem in caught.value.problems} == {"unknown-field", "too-many-problems"}


def test_an_object_of_a_thousand_fields_is_told_once(problems: Find) -> None:
    document = chain(("-X0", "S1"))
    document["components"][0] |= {f"field{number}": 1 for number in range(1_000)}
    assert problems(document) == [("/components/0", "too-many-fields")]
    document |= {f"field{number}": 1 for number in range(1_000)}
    assert problems(document) == [("", "too-many-fields")]


def test_time_is_linear_in_the_components(elevator: Callable[[], Document]) -> None:
    def seconds(count: int) -> float:
        document = chain(("-X0", "S1"), *((f"-X{number}", f"-X{number - 1}") for number in range(1, count)))
        best = float("inf")
        for _ in range(3):
            start = time.process_time()
            load_panel(document, None, "x")
            best = min(best, time.process_time() - start)
        return best

    assert seconds(16_000) < 8 * 4 * seconds(2_000)  # eight times as many; quadratic would be sixty-four


def test_more_components_than_a_panel_can_have_are_refused(problems: Find) -> None:
    document = chain(*((f"-X{number}", "S1") for number in range(20_001)))
    assert problems(document) == [("/components", "wrong-length")]
