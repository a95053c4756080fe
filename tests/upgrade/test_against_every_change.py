"""Plans for small panels against the trial of every set of changes, each built as a document and rated."""

from dataclasses import replace
from decimal import Decimal

import pytest

import sccr
from sccr.upgrade import plan
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import Changed
from tests.upgrade.small_orders import every_change
from tests.upgrade.small_orders import least_cost
from tests.upgrade.small_orders import random_order


@pytest.mark.parametrize("block", range(6))
def test_the_optimum_is_that_of_trying_everything(block: int) -> None:
    reached = 0
    for seed in range(block * 20, block * 20 + 20):
        order = random_order(seed)
        found = plan(order.document, order.catalogue, order.target, alternatives=0)
        expected = least_cost(order)
        assert (found.best.cost if found.best else None) == expected, seed
        assert found.proved and found.gap == (None if expected is None else 0), seed
        assert bool(found.blocked) == (expected is None), seed
        if found.best is not None:
            assert sccr.rate(found.best.document, order.catalogue) == found.best.rating, seed
            assert found.best.rating.rating.current >= order.target, seed
        reached += bool(expected)

    assert reached > 4


@pytest.mark.parametrize("seed", range(1000, 1016))
def test_the_next_best_are_those_of_trying_everything(seed: int) -> None:
    """The cheapest sets that reach the target, left out those that are a cheaper one with more changes."""
    order = random_order(seed)
    kept: list[Changed] = []
    for changed in every_change(order):
        if len(kept) < 4 and not any(k.parts.items() <= changed.parts.items() for k in kept):
            kept += [changed] if changed.reaches(order) else []
    found = plan(order.document, order.catalogue, order.target, alternatives=3)
    made = [found.best, *found.alternatives] if found.best else []

    assert [p.cost for p in made] == [changed.cost for changed in kept]
    assert len({p.swaps for p in made}) == len(made)
    assert all(sccr.rate(p.document, order.catalogue).rating.current >= order.target for p in made)


@pytest.mark.parametrize("seed", range(2000, 2012))
def test_of_the_cheapest_plans_one_with_most_parts_on_hand_is_taken(seed: int) -> None:
    """With few prices and few pieces in stock there are many ties; of each part only so many are on hand."""
    order = random_order(seed)
    offers = [{**o, "price": "5", "stock": number % 3 % 2} for number, o in enumerate(order.offers)]
    order = replace(order, offers=offers, target=min(order.target, 25 * KA))
    stock = {o["part"]: o["stock"] for o in offers}
    found = plan(order.document, order.catalogue, order.target, alternatives=0)
    best = least_cost(order)
    if best is None:
        assert found.best is None
        return

    def missing(parts: list[str]) -> int:
        return sum(max(0, parts.count(name) - stock[name]) for name in set(parts))

    fewest = min(
        missing(list(changed.parts.values()))
        for changed in every_change(order)
        if changed.cost == best and changed.reaches(order)
    )
    assert found.best is not None and found.best.cost == best
    assert missing([change.after for change in found.best.changes]) == fewest
    assert sum(not change.on_hand for change in found.best.changes) == fewest


def test_the_sorts_of_small_panel_are_all_met_and_their_plans_use_every_means() -> None:
    """Else the tests above would prove little: swaps, added fuses, changed classes, tested combinations, series."""
    actions, kinds, bases = set(), set(), set()
    for seed in range(150):
        order = random_order(seed)
        best = plan(order.document, order.catalogue, order.target, alternatives=0).best
        for change in best.changes if best else ():
            actions.add(change.action)
            kinds.add(change.kind)
        bases |= {component.basis for component in best.rating.components} if best and best.changes else set()

    assert actions == {"swap", "add"}
    assert {"circuit_breaker", "contactor", "overload_relay", "fuse", "fuseholder", "terminal_block"} <= kinds
    assert {"tested combination", "series rating"} <= bases


def test_costs_are_exact_decimals() -> None:
    for seed in range(40):
        order = random_order(seed)
        best = plan(order.document, order.catalogue, order.target, alternatives=0).best
        if best is not None:
            assert best.cost == sum((change.price for change in best.changes), Decimal(0))
