"""The staircase re-rates only what a lifted part can have moved, and concludes what a walk of all would."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

import sccr
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.assessment import assess
from sccr.ul508a.rules.sb4_2_component_values import component_value
from sccr.ul508a.rules.sb4_3_1_transformers import transformer_results
from sccr.ul508a.rules.sb4_3_branch_credits import branch_credits
from sccr.ul508a.rules.sb4_3_branch_credits import credited_values
from sccr.ul508a.rules.sb4_3_branch_credits import profiles
from sccr.ul508a.rules.sb4_4_panel_rating import lowest
from sccr.ul508a.rules.sb4_4_panel_rating import reaching
from sccr.ul508a.rules.sb4_4_panel_rating import supply_ratings
from sccr.ul508a.staircase import LONGEST_STAIRCASE
from sccr.ul508a.staircase import staircase
from sccr.ul508a.subject import subject
from sccr.units import UNLIMITED
from tests.drawing import behind_breaker
from tests.drawing import breaker
from tests.drawing import panel
from tests.drawing import part
from tests.oracle.panels import random_panel


def found_again(first: Assessment, lifted: frozenset[str]) -> Assessment:
    """Return an assessment with parts lifted, by a full walk of the clauses."""
    case, counted = first.case, first.scope
    values = {name: component_value(case, case.one_line.device(name), lifted) for name in first.values}
    at = profiles(case, values)
    credits = branch_credits(case, first.branches, values, at)
    after = credited_values(case, counted.counted, values, first.memberships, credits, at)
    transformers = transformer_results(case, counted, values)
    reached = reaching(case, counted, values, after, transformers)
    ratings = supply_ratings(reached, values, after, transformers)
    return replace(first, values=values, after=after, transformers=transformers, headline=lowest(ratings))


def climbed(first: Assessment) -> Iterator[tuple[int, tuple[str, ...]]]:
    lifted: frozenset[str] = frozenset()
    now = first
    for _ in range(LONGEST_STAIRCASE):
        lifted |= {limit.component for limit in now.headline.limits}
        now = found_again(first, lifted)
        if now.headline.current >= UNLIMITED:
            return
        yield now.headline.current, tuple(limit.component for limit in now.headline.limits)


@pytest.mark.parametrize("options", [{}, {"credit_feeder_components": True}])
def test_every_rung_is_what_a_full_walk_finds(options: dict[str, bool]) -> None:
    rungs = 0
    for seed in range(95_000, 95_080):
        document = {**random_panel(seed), "options": options}
        if sccr.rate(document).rating is None:
            continue
        first = assess(subject(sccr.load_panel(document)))
        expected = list(climbed(first))
        found = [
            (rung.rating.current, tuple(limit.component for limit in rung.rating.limits)) for rung in staircase(first)
        ]
        assert found == expected, seed
        rungs += len(found)

    assert rungs > 120


def test_a_part_cut_by_the_next_device_once_the_first_is_lifted_moves_with_it() -> None:
    marked = [behind_breaker("65 kA", ["MB-1"])]
    document = panel(
        breaker("FC1", current="10 kA", part="MB-1"),
        breaker("FC2", current="14 kA", part="MB-1"),
        part("contactor", "KM1", ["FC1", "FC2"], short_circuit_ratings=marked),
    )
    rungs = [(step.rating.current, step.limited_by[0].component) for step in sccr.rate(document).next_limits]

    assert rungs == [(14_000_000, "FC2"), (65_000_000, "KM1")]


def test_the_first_assessment_is_left_as_it_was() -> None:
    for seed in range(95_000, 95_050):
        first = assess(subject(sccr.load_panel(random_panel(seed))))
        before = (dict(first.values), dict(first.after), dict(first.credits), dict(first.transformers), first.headline)
        list(staircase(first))
        assert before == (first.values, first.after, first.credits, first.transformers, first.headline), seed


def test_a_staircase_too_long_is_cut_and_says_so() -> None:
    document = panel(*(breaker(f"FC{n}", current=f"{10 + n} kA") for n in range(60)))
    rating = sccr.rate(document)

    assert len(rating.next_limits) == LONGEST_STAIRCASE
    assert "staircase-cut" in {finding.code for finding in rating.findings}
