"""Plans by rules of which there is no model, learned from trials, against the trial of every set of changes."""

from decimal import Decimal
from time import monotonic

import pytest

import sccr
from sccr.errors import InvalidDocument
from sccr.upgrade import plan
from tests.drawing import part
from tests.upgrade.iec_orders import BRANCH
from tests.upgrade.iec_orders import EDITION
from tests.upgrade.iec_orders import MAIN
from tests.upgrade.iec_orders import behind
from tests.upgrade.iec_orders import breaks
from tests.upgrade.iec_orders import panel
from tests.upgrade.iec_orders import random_iec_order
from tests.upgrade.iec_orders import short_time
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import Changed
from tests.upgrade.small_orders import catalogue
from tests.upgrade.small_orders import every_change
from tests.upgrade.small_orders import least_cost
from tests.upgrade.small_orders import offer


def starter() -> dict:
    return panel(
        part("circuit_breaker", "FC1", **BRANCH, breaking_capacities=breaks("10 kA")),
        part("contactor", "KM1", "FC1", ampere_rating="25 A", conditional_ratings=[behind("10 kA")]),
        part("motor", "MA1", "KM1"),
    )


OFFERS = (
    offer("B-25", "circuit_breaker", "90", **BRANCH, breaking_capacities=breaks("25 kA")),
    offer("B-50", "circuit_breaker", "160", **BRANCH, breaking_capacities=breaks("50 kA")),
    offer("B-UL", "circuit_breaker", "1", **BRANCH, interrupting_ratings=[{"voltage": "600 V", "current": "65 kA"}]),
    offer("K-16", "contactor", "40", ampere_rating="25 A", conditional_ratings=[behind("16 kA")]),
    offer("K-50", "contactor", "75", ampere_rating="25 A", conditional_ratings=[behind("50 kA")]),
    offer("K-B", "contactor", "50", ampere_rating="25 A", conditional_ratings=[behind("50 kA", ["B-50"])]),
)


@pytest.mark.parametrize(
    ("target", "cost", "parts"),
    [
        (10, "0", []),
        (16, "130", ["B-25", "K-16"]),
        (25, "165", ["B-25", "K-50"]),
        (50, "210", ["B-50", "K-B"]),
    ],
)
def test_the_least_cost_by_hand(target: int, cost: str, parts: list[str]) -> None:
    """A breaker at 90 (Icu 25 kA) or 160 (50 kA); a contactor at 40, 75, or at 50 if it stands behind B-50.

    B-UL, at 1, has an interrupting rating only, and no breaking capacity: with it the rating is withheld.
    """
    found = plan(starter(), catalogue(*OFFERS), target * KA)

    assert found.best is not None and found.proved and found.gap == 0
    assert found.best.cost == Decimal(cost)
    assert sorted(change.after for change in found.best.changes) == parts
    again = sccr.rate(found.best.document, catalogue(*OFFERS))
    assert again == found.best.rating and again.method.edition == EDITION
    assert again.rating.current >= target * KA and again.rating.designation == "Icc"


@pytest.mark.parametrize("block", range(6))
def test_the_optimum_is_that_of_trying_everything(block: int) -> None:
    reached = 0
    for seed in range(block * 40, block * 40 + 40):
        order = random_iec_order(seed)
        found = plan(order.document, order.catalogue, order.target, alternatives=0)
        expected = least_cost(order)
        assert (found.best.cost if found.best else None) == expected, seed
        assert found.proved and found.gap == (None if expected is None else 0), seed
        assert bool(found.blocked) == (expected is None), seed
        if found.best is not None:
            assert sccr.rate(found.best.document, order.catalogue) == found.best.rating, seed
        reached += bool(expected)

    assert reached > 4


@pytest.mark.parametrize("seed", range(5000, 5016))
def test_the_next_best_are_those_of_trying_everything(seed: int) -> None:
    """The cheapest sets that reach the target, left out those that are a cheaper one with more changes."""
    order = random_iec_order(seed)
    kept: list[Changed] = []
    for changed in every_change(order):
        if len(kept) < 4 and not any(k.parts.items() <= changed.parts.items() for k in kept):
            kept += [changed] if changed.reaches(order) else []
    found = plan(order.document, order.catalogue, order.target, alternatives=3)
    made = [found.best, *found.alternatives] if found.best else []

    assert [p.cost for p in made] == [changed.cost for changed in kept]
    assert all(sccr.rate(p.document, order.catalogue).rating.current >= order.target for p in made)


def test_the_means_of_the_standard_are_all_met_in_plans() -> None:
    """Else the tests above would prove little: conditional currents, back-up, short-time currents, cut-off currents."""
    bases: set[str] = set()
    for seed in range(150):
        order = random_iec_order(seed)
        best = plan(order.document, order.catalogue, order.target, alternatives=0).best
        bases |= {component.basis for component in best.rating.components} if best and best.changes else set()

    assert {"marked", "tested combination", "short-time", "back-up", "let-through"} <= bases


def test_parts_ahead_of_every_device_are_chosen_together() -> None:
    """A block for 3 s makes 3 s the duration of the panel, at which a switch for 1 s is worth 20 kA / √3, 11.5 kA."""
    document = panel(
        part("disconnect_switch", "QB1", **MAIN, short_time_ratings=short_time("20 kA", "1 s")),
        part(
            "power_distribution_block",
            "XM1",
            "QB1",
            ampere_rating="63 A",
            short_time_ratings=short_time("20 kA", "3 s"),
        ),
        part("circuit_breaker", "FC1", "XM1", **BRANCH, breaking_capacities=breaks("50 kA")),
        part("motor", "MA1", "FC1"),
    )
    block = offer(
        "P-1", "power_distribution_block", "7", ampere_rating="63 A", short_time_ratings=short_time("20 kA", "1 s")
    )
    found = plan(document, catalogue(block), 20 * KA)

    assert sccr.rate(document).rating.current < 12 * KA
    assert found.best is not None and found.proved
    assert [(change.component, change.after) for change in found.best.changes] == [("XM1", "P-1")]
    assert found.best.rating.rating.text == "Icw 20 kA (1 s), Ipk 40 kA, 400 V"


def test_what_blocks_a_target_is_named_with_what_the_catalogue_lacks() -> None:
    offers = [each for each in OFFERS if not each["part"].startswith("K-")]
    found = plan(starter(), catalogue(*offers), 25 * KA)

    assert found.best is None and found.proved
    assert [block.component for block in found.blocked] == ["KM1"]
    assert found.blocked[0].reason == (
        "the catalogue has no contactor, 25 A for 25 kA on 400 V, solidly grounded wye: no other suits, the best of "
        "all is worth 10 kA"
    )


def test_with_the_time_up_the_bound_is_told_and_nothing_is_claimed() -> None:
    found = plan(starter(), catalogue(*OFFERS), 25 * KA, time_limit=0.0)

    assert found.best is None and not found.proved and found.blocked == ()
    assert found.bound == 0


def test_a_panel_of_sixty_parts_is_proved_in_time() -> None:
    """Alike starters are learned from side by side: the trials of one are those of all."""
    parts = [part("circuit_breaker", "QB1", **MAIN, breaking_capacities=breaks("50 kA"))]
    for number in range(20):
        parts += [
            part("circuit_breaker", f"FC{number}", "QB1", **BRANCH, breaking_capacities=breaks("10 kA")),
            part(
                "contactor", f"KM{number}", f"FC{number}", ampere_rating="25 A", conditional_ratings=[behind("10 kA")]
            ),
            part("motor", f"MA{number}", f"KM{number}"),
        ]
    begun = monotonic()
    found = plan(panel(*parts), catalogue(*OFFERS), 25 * KA, time_limit=60)

    assert found.best is not None and found.proved and found.best.cost == 20 * 165
    assert monotonic() - begun < 30


def test_a_fuse_keeps_its_utilization_category() -> None:
    """A fuse gG is no stand-in for an aM, which leaves the overload to a relay, nor the other way round."""
    fuses = {"ampere_rating": "25 A", "poles": 3}
    document = panel(
        part("fuse", "FC1", **fuses, utilization_category="gG", breaking_capacities=breaks("10 kA", "fuse")),
        part("motor", "MA1", "FC1"),
    )
    offers = [
        offer(
            f"F-{category}",
            "fuse",
            price,
            **fuses,
            utilization_category=category,
            breaking_capacities=breaks("100 kA", "fuse"),
        )
        for category, price in (("aM", "1"), ("gG", "5"))
    ]
    found = plan(document, catalogue(*offers), 50 * KA)

    assert found.best is not None and [change.after for change in found.best.changes] == ["F-gG"]


def test_no_fuse_is_added_by_rules_that_know_no_credit() -> None:
    found = plan(starter(), catalogue(*OFFERS), 25 * KA)

    assert found.best is not None and {change.action for change in found.best.changes} == {"swap"}


def test_a_document_for_several_editions_is_told_to_name_one() -> None:
    document = starter()
    del document["edition"]
    with pytest.raises(InvalidDocument) as refused:
        plan({**document, "editions": [EDITION, "UL 508A:2018"]}, catalogue(*OFFERS), 25 * KA)

    assert [(problem.pointer, problem.code) for problem in refused.value.problems] == [
        ("/editions", "several-editions")
    ]
