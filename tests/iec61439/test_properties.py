"""What holds of every panel, drawn at random."""

import json
from copy import deepcopy
from random import Random

import pytest
from hypothesis import given
from hypothesis import settings
from hypothesis import strategies as st

from sccr import Rating
from sccr import rate
from sccr.units import UNLIMITED
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_breaker
from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import capacity
from tests.iec61439.drawing import part
from tests.iec61439.drawing import short_time
from tests.iec61439.random_panels import random_panel

SEEDS = st.integers(0, 1_000_000)


def current(document: Document) -> int:
    """The rating [mA]; 0 where it is withheld."""
    rating = rate(document).rating
    return 0 if rating is None else rating.current


def rated_seeds(number: int) -> list[int]:
    return [seed for seed in range(number) if rate(random_panel(seed)).rating is not None]


def test_the_drawn_panels_are_of_both_kinds() -> None:
    rated = len(rated_seeds(200))

    assert 60 < rated < 190


@given(SEEDS, st.integers())
@settings(max_examples=60, deadline=None)
def test_the_order_of_the_components_changes_nothing(seed: int, shuffle: int) -> None:
    document = random_panel(seed)
    other = deepcopy(document)
    Random(shuffle).shuffle(other["components"])
    first, second = rate(document), rate(other)

    assert first.rating == second.rating
    assert {limit.component for limit in first.limited_by} == {limit.component for limit in second.limited_by}
    assert [n.rating for n in first.next_limits] == [n.rating for n in second.next_limits]
    assert {(f.code, f.component) for f in first.findings} == {(f.code, f.component) for f in second.findings}


@given(SEEDS)
@settings(max_examples=60, deadline=None)
def test_the_names_of_the_components_change_nothing(seed: int) -> None:
    document = random_panel(seed)
    names = {each["id"]: f"+{number}-X{each['id']}" for number, each in enumerate(document["components"])}
    other = deepcopy(document)
    for component in other["components"]:
        component["id"] = names[component["id"]]
        component["fed_from"] = names.get(component["fed_from"], component["fed_from"])
    first, second = rate(document), rate(other)

    assert first.rating == second.rating
    assert [names.get(limit.component, limit.component) for limit in first.limited_by] == [
        limit.component for limit in second.limited_by
    ]


CAPACITIES = ("breaking_capacities", "back_up_ratings", "conditional_ratings", "short_time_ratings")


@given(SEEDS, st.integers(), st.sampled_from(["80 kA", "81 kA", "100 kA", "150 kA"]))
@settings(max_examples=150, deadline=None)
def test_a_higher_capacity_never_lowers_the_rating(seed: int, which: int, higher: str) -> None:
    document = random_panel(seed)
    places = [
        (number, name, at)
        for number, component in enumerate(document["components"])
        for name in CAPACITIES
        for at in range(len(component.get(name, ())))
    ]
    number, name, at = places[which % len(places)]
    other = deepcopy(document)
    entry = other["components"][number][name][at]
    if name == "short_time_ratings" and not _still_counts(document["components"][number], at):
        return  # a plain conductor keeps its 10 kA only while its rating does not count: settled reading 4
    entry["current"] = higher

    assert current(other) >= current(document)


def _still_counts(component: Document, _: int) -> bool:
    return component["kind"] not in ("bus_bar", "terminal_block", "power_distribution_block")


@given(SEEDS, st.integers())
@settings(max_examples=100, deadline=None)
def test_one_part_more_never_raises_the_rating(seed: int, where: int) -> None:
    document = random_panel(seed)
    devices = [c["id"] for c in document["components"] if c["kind"] in ("circuit_breaker", "fuse")]
    ratings = {"conditional_ratings": [behind_gg("15 kA"), behind_breaker("15 kA")]}
    added = part("switch", "NEW", devices[where % len(devices)], **ratings)

    assert current({**document, "components": [*document["components"], added]}) <= current(document)


@given(SEEDS)
@settings(max_examples=100, deadline=None)
def test_a_withheld_rating_carries_no_number(seed: int) -> None:
    rating = rate(random_panel(seed))
    errors = [finding for finding in rating.findings if finding.severity == "error"]

    assert (rating.status == "withheld") == bool(errors) == (rating.rating is None)
    if errors:
        assert rating.limited_by == rating.next_limits == rating.conditions == ()
        assert all(supply.rating is None for supply in rating.supplies)
        assert all(circuit.rating is None for circuit in rating.circuits)
        assert all("state" in each.message or each.code == "unprotected-branch" for each in errors)
    json.dumps(rating.as_dict())


@given(SEEDS)
@settings(max_examples=60, deadline=None)
def test_the_rating_is_the_lowest_of_the_circuits_at_the_supply(seed: int) -> None:
    rating = rate(random_panel(seed))
    if rating.rating is None:
        return
    supplies = [supply.rating.current for supply in rating.supplies if supply.rating is not None]

    assert rating.rating.current == min(supplies)
    assert [step.number for step in rating.derivation] == list(range(1, len(rating.derivation) + 1))
    assert all(step.after is None or step.after < UNLIMITED for step in rating.derivation)
    values = {component.id: component.value for component in rating.components}
    at_supply = [values[c.id] for c in rating.components if c.value is not None and "two wire" not in c.voltage]
    assert rating.rating.current <= min(value for value in at_supply if value is not None)


def really_lifted(document: Document, names: set[str], rating: Rating) -> Document:
    """The document with parts changed for ones that are good for everything, and devices for ones that break all."""
    other = deepcopy(document)
    for component in other["components"]:
        if component["id"] not in names:
            continue
        if component["kind"] in ("circuit_breaker", "fuse"):
            kinds = ("fuse",) if component["kind"] == "fuse" else ("icu", "icn")
            component["breaking_capacities"] = [capacity("1000 kA", kind, "690 V") for kind in kinds]
        else:
            _make_good_for_everything(component, rating)
    outside = names - {component["id"] for component in other["components"]}
    for supply in other["supplies"]:
        if any(name.startswith(supply["id"]) for name in outside):
            supply["upstream_protection"]["breaking_capacities"] = [capacity("1000 kA", "fuse", "690 V")]
    return other


def _make_good_for_everything(component: Document, rating: Rating) -> None:
    most = "1000 kA"
    component["conditional_ratings"] = [
        behind_gg(most, "1000 A", "690 V", coordination=2),
        behind_breaker(most, "1000 A", "690 V", coordination=2),
    ]
    duration = rating.rating.duration if rating.rating is not None else None
    component["short_time_ratings"] = [short_time(most, f"{duration or 1} s")]


@pytest.mark.parametrize("block", range(4))
def test_every_step_of_the_staircase_is_what_the_changed_panel_is_rated(block: int) -> None:
    """Each limit is really changed, in the document, and the panel rated from the start."""
    steps = 0
    for seed in range(block * 60, block * 60 + 60):
        document = random_panel(seed)
        rating = rate(document)
        if rating.rating is None:
            continue
        lifted: set[str] = set()
        limits = rating.limited_by
        for step in rating.next_limits:
            lifted |= {limit.component for limit in limits}
            now = rate(really_lifted(document, lifted, rating)).rating
            assert now is not None
            assert now.current == step.rating.current, (seed, lifted)
            limits = step.limited_by
            steps += 1

    assert steps > 40
