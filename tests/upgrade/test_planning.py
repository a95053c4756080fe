"""Upgrade plans worked by hand: the least cost, proved by re-rating."""

from decimal import Decimal
from typing import Any

import pytest

import sccr
from sccr.upgrade import plan
from sccr.upgrade import staircase
from tests.drawing import breaker
from tests.drawing import codes
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import withstands
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import catalogue
from tests.upgrade.small_orders import offer


def starter(device: str = "14 kA", contactor_rating: str = "5 kA") -> dict[str, Any]:
    return panel(
        breaker("FC1", "S", device, poles=3, ampere_rating="30 A"),
        contactor("KM1", "FC1", contactor_rating, ampere_rating="30 A"),
        motor("MA1", "KM1"),
    )


OFFERS = (
    offer("B-25", "circuit_breaker", "90", poles=3, ampere_rating="30 A", interrupting_ratings=interrupts("25 kA")),
    offer("B-65", "circuit_breaker", "160", poles=3, ampere_rating="30 A", interrupting_ratings=interrupts("65 kA")),
    offer("B-65-40", "circuit_breaker", "1", poles=3, ampere_rating="40 A", interrupting_ratings=interrupts("65 kA")),
    offer("K-18", "contactor", "40", ampere_rating="30 A", short_circuit_ratings=withstands("18 kA")),
    offer("K-65", "contactor", "75", ampere_rating="40 A", short_circuit_ratings=withstands("65 kA")),
    offer("K-FREE", "contactor", None, ampere_rating="30 A", short_circuit_ratings=withstands("100 kA")),
)


@pytest.mark.parametrize(
    ("target", "cost", "parts"),
    [
        (5, "0", []),
        (14, "40", ["K-18"]),
        (18, "130", ["B-25", "K-18"]),
        (25, "165", ["B-25", "K-65"]),
        (65, "235", ["B-65", "K-65"]),
    ],
)
def test_the_least_cost_by_hand(target: int, cost: str, parts: list[str]) -> None:
    """Of a breaker at 90 (25 kA) or 160 (65 kA) and a contactor at 40 (18 kA) or 75 (65 kA)."""
    found = plan(starter(), catalogue(*OFFERS), target * KA)

    assert found.best is not None and found.proved
    assert found.best.cost == Decimal(cost)
    assert sorted(change.after for change in found.best.changes) == parts
    assert found.best.rating.rating.current >= target * KA
    assert sccr.rate(found.best.document, catalogue(*OFFERS)).rating == found.best.rating.rating


def test_a_part_that_does_another_job_is_no_candidate() -> None:
    """B-65-40 costs next to nothing, but its amperes are not those of the branch."""
    found = plan(starter(), catalogue(*OFFERS), 65 * KA)

    assert "B-65-40" not in {change.after for change in found.best.changes}


def test_next_best_plans_are_distinct_and_dearer() -> None:
    found = plan(starter(), catalogue(*OFFERS), 14 * KA, alternatives=3)
    sets = [frozenset(change.after for change in p.changes) for p in (found.best, *found.alternatives)]

    assert len(set(sets)) == len(sets)
    assert [p.cost for p in found.alternatives] == sorted(p.cost for p in found.alternatives)
    assert not any(sets[0] < other for other in sets[1:])


def test_the_objective_decides() -> None:
    by_price = plan(starter(), catalogue(*OFFERS), 14 * KA)
    by_changes = plan(starter(), catalogue(*OFFERS), 14 * KA, objective="changes")

    assert [change.after for change in by_price.best.changes] == ["K-18"]
    assert by_changes.best.cost == 1  # any contactor will do, the one without a price included
    with pytest.raises(ValueError, match="objective"):
        plan(starter(), catalogue(*OFFERS), 14 * KA, objective="beauty")


def test_between_equals_the_part_on_hand_is_taken() -> None:
    twins = [
        {
            **offer(name, "contactor", "40", ampere_rating="30 A", short_circuit_ratings=withstands("18 kA")),
            "stock": stock,
        }
        for name, stock in (("K-A", 0), ("K-B", 3), ("K-C", 0))
    ]
    found = plan(starter(), catalogue(*twins), 14 * KA)

    assert [change.after for change in found.best.changes] == ["K-B"]
    assert found.best.cost == 40
    assert found.best.changes[0].on_hand


def test_of_a_part_only_as_many_are_on_hand_as_there_are() -> None:
    """Forward and reverse contactor: two parts of equal price with one piece each, before a third with none."""
    document = panel(
        breaker("FC1", "S", "25 kA", poles=3, ampere_rating="30 A"),
        contactor("KM1", "FC1", "5 kA", ampere_rating="30 A"),
        contactor("KM2", "FC1", "5 kA", ampere_rating="30 A"),
    )
    fields = {"ampere_rating": "30 A", "short_circuit_ratings": withstands("25 kA")}
    one_each = [offer(name, "contactor", "40", **fields, stock=1) for name in ("K-A", "K-B")]
    best = plan(document, catalogue(offer("K-0", "contactor", "40", **fields), *one_each), 25 * KA).best

    assert {change.after for change in best.changes} == {"K-A", "K-B"}
    best = plan(document, catalogue(one_each[0]), 25 * KA).best
    assert [(change.after, change.on_hand) for change in best.changes] == [("K-A", True), ("K-A", False)]


def test_the_poles_of_a_fuse_are_those_of_its_place() -> None:
    """A fuse is sold without poles: a set of two stays a set of two, and what it feeds stays single-phase."""
    document = panel(
        fuse("FC1", "S", "RK5", "30 A", poles=2, interrupting_ratings=interrupts("10 kA")),
        part("contactor", "KM1", "FC1", ampere_rating="30 A", short_circuit_ratings=withstands("200 kA")),
    )
    best = plan(document, catalogue(offer("F-J", "fuse", "9", fuse_class="J", ampere_rating="30 A")), 65 * KA).best

    assert best.document["components"][0] == {"id": "FC1", "kind": "fuse", "fed_from": "S", "poles": 2, "part": "F-J"}


def test_a_target_out_of_reach_names_what_blocks_it_and_what_is_lacking() -> None:
    found = plan(starter(), catalogue(*OFFERS), 100 * KA)

    assert found.best is None
    assert {block.component for block in found.blocked} == {"FC1", "KM1"}
    assert all("100 kA" in block.reason for block in found.blocked)


def test_a_feeder_fuse_is_added_where_that_is_cheapest() -> None:
    """One 60 A class J fuse (8 kA peak at 50 kA) in place of three contactors at 75 each."""
    branches = [
        entry
        for n in (1, 2, 3)
        for entry in (
            breaker(f"FC{n}", "QA1", "65 kA", poles=3, ampere_rating="30 A"),
            contactor(f"KM{n}", f"FC{n}", "10 kA", ampere_rating="30 A"),
            motor(f"MA{n}", f"KM{n}"),
        )
    ]
    main = part("disconnect_switch", "QA1", "S", ampere_rating="60 A", short_circuit_ratings=withstands("100 kA"))
    offers = (
        *OFFERS,
        offer("J-60", "fuse", "30", fuse_class="J", ampere_rating="60 A"),
        offer(
            "HJ-60",
            "fuseholder",
            "50",
            fuse_class="J",
            ampere_rating="60 A",
            short_circuit_ratings=withstands("200 kA"),
        ),
        offer(
            "HT-60", "fuseholder", "5", fuse_class="T", ampere_rating="60 A", short_circuit_ratings=withstands("200 kA")
        ),
    )
    found = plan(panel(main, *branches), catalogue(*offers), 50 * KA)

    assert found.best is not None and found.proved
    assert [(change.action, change.after) for change in found.best.changes] == [("add", "HJ-60"), ("add", "J-60")]
    assert found.best.cost == 50 + 3 * 30


def test_a_fuse_of_another_class_brings_its_holder() -> None:
    """A class RK5 feeder fuse lets too much through; class J does not, and needs its own holder."""
    holder = part(
        "fuseholder", "XF1", "S", fuse_class="R", ampere_rating="60 A", short_circuit_ratings=withstands("200 kA")
    )
    document = panel(
        holder,
        fuse("FU1", "XF1", "RK5", "60 A"),
        breaker("FC1", "FU1", "50 kA", poles=3, ampere_rating="30 A"),
        contactor("KM1", "FC1", "10 kA", ampere_rating="30 A"),
    )
    offers = (
        offer("J-60", "fuse", "30", fuse_class="J", ampere_rating="60 A"),
        offer(
            "HJ-60",
            "fuseholder",
            "50",
            fuse_class="J",
            ampere_rating="60 A",
            short_circuit_ratings=withstands("200 kA"),
        ),
    )
    found = plan(document, catalogue(*offers), 50 * KA)

    assert {change.after for change in found.best.changes} == {"J-60", "HJ-60"}


def test_a_tested_combination_is_used_by_fitting_its_device() -> None:
    document = panel(
        breaker("FC1", "S", "65 kA", poles=3, ampere_rating="30 A", part="B-OLD"),
        contactor("KM1", "FC1", "65 kA", ampere_rating="30 A", short_circuit_ratings=[
            *withstands("5 kA"),
            {"current": "65 kA", "voltage": "600 V", "protected_by": {"device": "circuit_breaker", "parts": ["B-65"]}},
        ]),
    )  # fmt: skip
    found = plan(document, catalogue(offer("B-OLD", "circuit_breaker", "1"), *OFFERS), 65 * KA)

    assert [change.after for change in found.best.changes] == ["K-65"]
    dear = [o if o["part"] != "K-65" else {**o, "price": "500"} for o in OFFERS]
    found = plan(document, catalogue(offer("B-OLD", "circuit_breaker", "1"), *dear), 65 * KA)
    assert [change.after for change in found.best.changes] == ["B-65"]


def test_without_a_target_the_available_current_is_the_target() -> None:
    supply = {"voltage": "480Y/277 V", "system": "solidly_grounded_wye", "available_fault_current": "18 kA"}
    found = plan({**starter(), "supplies": [{"id": "S", **supply}]}, catalogue(*OFFERS))

    assert found.target == 18 * KA
    with pytest.raises(ValueError, match="target"):
        plan(starter(), catalogue(*OFFERS))


def test_a_staircase_never_costs_less_further_up() -> None:
    costs = [
        step.best.cost
        for step in staircase(starter(), catalogue(*OFFERS), [5 * KA, 14 * KA, 25 * KA, 65 * KA])
        if step.best
    ]

    assert costs == sorted(costs) and len(costs) == 4


def test_a_plan_leaves_what_it_does_not_touch() -> None:
    document = starter()
    found = plan(document, catalogue(*OFFERS), 14 * KA)

    assert found.best.document["components"][0] == document["components"][0]
    assert document == starter()
    assert "rating-not-claimed" not in codes(document)


def test_as_dict_is_json() -> None:
    import json

    found = json.loads(json.dumps(plan(starter(), catalogue(*OFFERS), 25 * KA).as_dict()))
    assert found["best"]["cost"] == "165"
    assert found["proved_optimal"] is True
    assert found["target"]["current"] == "25 kA"
