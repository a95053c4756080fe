"""`rate_many`: what `rate` gives, for each document in its turn."""

import json
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from typing import Any

import pytest

import sccr
from sccr.many import Outcome
from sccr.many.executors import Item
from sccr.many.executors import Result
from sccr.many.processes import LocalProcesses
from tests.many.deadly import rated_unless_deadly

from .panels import CATALOGUE
from .panels import as_rated
from .panels import as_told
from .panels import documents
from .panels import lines

MANY = 60  # more than rate in one chunk


@pytest.fixture(scope="module")
def catalogue() -> sccr.Catalogue:
    return sccr.Catalogue.from_document(CATALOGUE)


@pytest.fixture(scope="module")
def two() -> Iterator[LocalProcesses]:
    with LocalProcesses(2) as processes:
        yield processes


@pytest.mark.parametrize("form", [dict, json.dumps, lambda document: json.dumps(document).encode()])
def test_each_is_rated_as_alone_and_told_in_order(
    form: Callable[[Any], Any], two: LocalProcesses, catalogue: sccr.Catalogue
) -> None:
    panels = documents(MANY)
    expected = as_rated(panels, catalogue)

    assert as_told(sccr.rate_many(map(form, panels), catalogue, workers=two)) == expected
    assert as_told(sccr.rate_many(map(form, panels), catalogue, workers=0)) == expected
    assert {status for _, status, _ in expected} == {"rated", "withheld"}


def test_what_is_bad_is_told_in_its_turn_and_ends_nothing(two: LocalProcesses, catalogue: sccr.Catalogue) -> None:
    good = lines(MANY)
    bad: dict[int, Any] = {1: b"", 3: b"{", 30: "[]", 31: b"\xff", 40: {"format": "panel/1"}, 59: b'{"a":1,"a":2}'}
    given: list[Any] = [bad.get(place, line) for place, line in enumerate(good, 1)]

    outcomes = list(sccr.rate_many(given, catalogue, workers=two))

    assert [each.line for each in outcomes] == [*range(1, MANY + 1)]
    assert [each.line for each in outcomes if each.status == "refused"] == sorted(bad)
    for place, document in bad.items():
        with pytest.raises(sccr.SccrError) as alone:
            sccr.rate(document)
        found = outcomes[place - 1]
        assert found.text is None and found.result is None and found.refused is not None
        if isinstance(alone.value, sccr.InvalidDocument):
            assert (found.refused.code, found.problems) == ("invalid-document", alone.value.problems)
        else:
            assert (found.refused.code, found.refused.detail) == ("malformed-json", str(alone.value))


def test_the_near_numbers_of_an_unknown_part_are_those_of_the_whole_catalogue(
    two: LocalProcesses, catalogue: sccr.Catalogue
) -> None:
    wrong = next(part for part in catalogue.parts)[:-1] + "?"
    panels = documents(MANY)
    panels[50]["components"] = [{**panels[50]["components"][0], "part": wrong}, *panels[50]["components"][1:]]
    with pytest.raises(sccr.InvalidDocument) as alone:
        sccr.rate(panels[50], catalogue)

    outcomes = list(sccr.rate_many(panels, catalogue, workers=two))

    assert outcomes[50].problems == alone.value.problems
    assert any(problem.code == "unknown-part" and "did you mean" in problem.detail for problem in alone.value.problems)
    assert [each.status for each in outcomes].count("refused") == 1


def test_a_document_on_which_the_engine_fails_keeps_no_other_from_its_rating() -> None:
    class Failing(dict[str, Any]):
        def __getitem__(self, name: str) -> Any:
            raise RuntimeError("a fault of the engine")

    good = documents(2)
    first, second, third = sccr.rate_many([good[0], Failing(good[0]), good[1]], workers=0)

    assert (first.status, second.status, third.status) == ("rated", "refused", "withheld")
    assert second.refused is not None and second.refused.cause is not None
    assert second.refused.code == "internal-error" and "a fault of the engine" in second.refused.cause


@pytest.mark.parametrize("extent", ["full", "short", "none"])
def test_the_derivation_is_as_long_as_is_asked(extent: str) -> None:
    panel = documents(1)[0]

    [outcome] = sccr.rate_many([panel], workers=0, derivation=extent)

    assert outcome.result == sccr.rate(panel).as_dict(extent)


def test_another_derivation_is_refused_before_anything_is_taken() -> None:
    with pytest.raises(ValueError, match="full, short or none"):
        sccr.rate_many(iter(lambda: pytest.fail("was taken"), None), derivation="all")


def test_what_counts_of_a_rating_comes_with_it() -> None:
    panel = documents(1)[0]
    rating = sccr.rate(panel)

    [outcome] = sccr.rate_many([panel], workers=0)

    assert outcome.adequate == all(each.adequate for each in rating.adequacy.supplies)
    kinds = {each.id: each.kind for each in rating.components}
    assert outcome.limiting_kinds == tuple(sorted({kinds[limit.component or ""] for limit in rating.limited_by}))
    assert outcome.seconds > 0


def test_an_outcome_that_is_there_comes_in_its_turn_and_places_begin_where_they_are_told() -> None:
    there = Outcome(0, "refused")

    outcomes = list(sccr.rate_many([*lines(1), there], workers=0, first=100))

    assert [(each.line, each.status) for each in outcomes] == [(100, "rated"), (101, "refused")]


def test_documents_are_taken_as_they_are_needed(two: LocalProcesses) -> None:
    """Nobody who rates without end would have anything to rate: what is taken ahead has a bound."""
    taken = 0

    def endless() -> Iterator[bytes]:
        nonlocal taken
        [line] = lines(1)
        while True:
            taken += 1
            yield line

    rating = sccr.rate_many(endless(), workers=two)
    for _ in range(10):
        next(rating)
    rating.close()  # type: ignore[attr-defined]

    assert taken < 1_500  # twice three chunks, of two hundred at most


def test_a_few_are_rated_without_another_process() -> None:
    with LocalProcesses(2) as processes:
        assert len(list(sccr.rate_many(lines(20), workers=processes))) == 20
        assert not processes.pids


def test_nothing_gives_nothing() -> None:
    assert list(sccr.rate_many([], workers=2)) == []


class Deadly(LocalProcesses):
    """Processes that end on a panel called DEADLY."""

    def map(
        self,
        function: Callable[[Item], Result],
        items: Iterable[Item],
        lost: Callable[[Item], Result] | None = None,
    ) -> Iterator[Result]:
        return super().map(rated_unless_deadly, items, lost)  # type: ignore[arg-type]


def test_a_document_that_ends_whoever_rates_it_is_given_up_and_the_others_are_rated(
    catalogue: sccr.Catalogue,
) -> None:
    good = lines(MANY)
    given = [*good]
    given[40] = good[40].replace(b'"P-41"', b'"DEADLY"')
    expected = as_rated(good, catalogue)

    with Deadly(2) as processes:
        outcomes = list(sccr.rate_many(given, catalogue, workers=processes))

    lost = outcomes.pop(40)
    assert (lost.line, lost.status) == (41, "refused")
    assert lost.refused is not None and lost.refused.code == "line-given-up"
    assert as_told(outcomes) == expected[:40] + expected[41:]
