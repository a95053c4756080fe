"""How plans change with what they are made from: the target, the parts on offer, their prices."""

from dataclasses import replace
from decimal import Decimal

import pytest

from sccr.upgrade import plan
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import Order
from tests.upgrade.small_orders import random_order

SEEDS = range(300, 324)
NEVER = Decimal("Infinity")


def cost(order: Order, objective: str = "price") -> Decimal:
    best = plan(order.document, order.catalogue, order.target, objective=objective, alternatives=0).best
    return NEVER if best is None else best.cost


@pytest.mark.parametrize("objective", ["price", "changes", "labour"])
def test_a_lower_target_never_costs_more(objective: str) -> None:
    differ = 0
    for seed in SEEDS:
        order = random_order(seed)
        costs = [cost(replace(order, target=level * KA), objective) for level in (5, 9, 14, 30, 65)]
        assert costs == sorted(costs), seed
        differ += len(set(costs)) > 2

    assert differ > 3


def test_a_part_more_never_raises_the_cost() -> None:
    lower = 0
    for seed in SEEDS:
        order = random_order(seed)
        fewer = [cost(replace(order, offers=order.offers[:n])) for n in range(2, len(order.offers) + 1)]
        assert fewer == sorted(fewer, reverse=True), seed
        lower += fewer[-1] < fewer[0]

    assert lower > 5


def test_a_cheaper_part_never_raises_the_cost_and_lowers_it_by_no_more_than_its_uses() -> None:
    lower = 0
    for seed in SEEDS:
        order = random_order(seed)
        before = cost(order)
        for number, offer in enumerate(order.offers):
            cheaper = {**offer, "price": f"{Decimal(offer['price']) / 2:f}"}
            after = cost(replace(order, offers=[*order.offers[:number], cheaper, *order.offers[number + 1 :]]))
            assert after <= before, (seed, offer["part"])
            if before != NEVER:
                uses = len(order.document["components"]) + 2
                assert before - after <= Decimal(cheaper["price"]) * uses, (seed, offer["part"])
            lower += after < before

    assert lower > 5


def test_stock_never_changes_the_cost() -> None:
    for seed in SEEDS:
        order = random_order(seed)
        stocked = [{**offer, "stock": number % 3} for number, offer in enumerate(order.offers)]
        assert cost(replace(order, offers=stocked)) == cost(order), seed


def test_the_order_of_the_catalogue_and_of_the_document_changes_nothing() -> None:
    for seed in SEEDS:
        order = random_order(seed)
        turned = {**order.document, "components": order.document["components"][::-1]}
        assert cost(replace(order, offers=order.offers[::-1], document=turned)) == cost(order), seed
