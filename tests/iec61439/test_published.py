"""Figures that are common knowledge of the trade, held against the rule set.

The sources are named from memory: no copy of them was at hand.
"""

from decimal import Decimal

import pytest

from sccr.iec61439.rules.iec60909_0_transformers import through_fault
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import kiloamperes
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import rated


@pytest.mark.parametrize(
    ("kva", "impedance", "kiloampere"),
    [
        (100, "4", "3.6"),
        (250, "4", "9.0"),
        (400, "4", "14.4"),
        (630, "4", "22.7"),
        (1000, "6", "24.1"),
        (1600, "6", "38.5"),
    ],
)
def test_the_short_circuit_currents_of_distribution_transformers(kva: int, impedance: str, kiloampere: str) -> None:
    """I = S / (√3 · 400 V · uk): the usual tables of distribution transformers, without factor or tolerance."""
    found = through_fault(Decimal(kva * 1000), 400_000, Decimal(impedance), 3, Decimal(1), Decimal(0))

    assert f"{found / 1_000_000:.1f}" == kiloampere


def test_the_factors_of_iec_60909_and_60076_make_it_the_higher() -> None:
    """22.733 kA · 1.1 / 0.9 = 27.785 kA."""
    found = through_fault(Decimal(630_000), 400_000, Decimal(4), 3, Decimal("1.1"), Decimal(10))

    assert round(found / 1_000_000, 3) == 27.785


@pytest.mark.parametrize(("icw", "ipk"), [("5 kA", 7.5), ("10 kA", 17), ("16 kA", 32), ("25 kA", 52.5), ("50 kA", 105)])
def test_the_pairs_of_icw_and_ipk_that_switchboards_are_sold_with(icw: str, ipk: float) -> None:
    """10/17, 16/32, 25/52.5 and 50/105 kA are the usual pairs (IEC 61439-1, Table 7)."""
    main = part("disconnect_switch", "Q0", short_time_ratings=[{"current": icw, "duration": "1 s"}])
    rating = rated(panel(main, breaker("Q1", "Q0", "100 kA"))).rating
    assert rating is not None

    assert rating.peak == ipk * 1_000_000
    assert rating.designation == "Icw"


def test_10_ka_without_verification() -> None:
    """IEC 61439-1, 10.11.2 a): a bus bar behind a breaker of 10 kA needs none."""
    assert kiloamperes(panel(breaker("Q1", current="10 kA"), part("bus_bar", "W1", "Q1"))) == 10
