"""The random panels: whole, repeatable, mostly rateable; and the oracle is steady on them."""

from typing import Any

from hypothesis import HealthCheck
from hypothesis import given
from hypothesis import settings
from hypothesis import strategies as st

from tests.oracle.edges import edge_panels
from tests.oracle.edges import let_through_edges
from tests.oracle.panels import panels
from tests.oracle.panels import random_panel
from tests.oracle.survival import largest_survived
from tests.oracle.survival import survives
from tests.oracle.survival import withheld

SEEDS = range(400)


def feeds(part: dict[str, Any]) -> list[str]:
    return part["fed_from"] if isinstance(part["fed_from"], list) else [part["fed_from"]]


def test_every_part_is_named_once_and_fed_by_what_stands_before_it() -> None:
    for seed in SEEDS:
        document = random_panel(seed)
        known = {supply["id"] for supply in document["supplies"]}
        for part in document["components"]:
            assert {feed.split("/")[0] for feed in feeds(part)} <= known, (seed, part)
            assert part["id"] not in known
            known.add(part["id"])


def test_a_seed_gives_the_same_panel() -> None:
    assert [random_panel(s) for s in SEEDS] == [random_panel(s) for s in SEEDS]


def test_most_panels_have_a_rating_and_many_different_ones() -> None:
    ratings = [largest_survived(random_panel(seed)) for seed in SEEDS]
    rated = [rating for rating in ratings if rating is not None]
    assert 0.7 * len(ratings) < len(rated) < len(ratings)
    assert len(set(rated)) > 15


def test_the_edges_of_table_sb4_2_turn_on_one_ampere() -> None:
    """A part of exactly the peak is lifted, one of an ampere less is not lifted as far.

    Not so class RK1, which is read as RK5, nor large fuses that let through their column.
    """
    classes = ("CC", "CF", "G", "J")
    edges = [edge for edge in let_through_edges() if edge["components"][0]["fuse_class"] in classes]
    for exact, less in zip(edges[::2], edges[1::2], strict=True):
        assert (largest_survived(exact) or 0) > (largest_survived(less) or 0), exact


def test_every_edge_panel_has_a_rating_or_a_reason() -> None:
    for document in edge_panels():
        assert (largest_survived(document) is None) == bool(withheld(document))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(document=panels(), lower=st.integers(1, 300_000_000))
def test_the_rating_is_where_survival_ends(document: dict[str, Any], lower: int) -> None:
    """Everything up to the rating is survived on every supply, and nothing above it."""
    rating = largest_survived(document)
    assert (rating is None) == bool(withheld(document))
    if rating is not None:
        supplies = [supply["id"] for supply in document["supplies"]]
        assert all(survives(document, supply, min(rating, lower)) for supply in supplies)
        assert not all(survives(document, supply, rating + 1) for supply in supplies)
