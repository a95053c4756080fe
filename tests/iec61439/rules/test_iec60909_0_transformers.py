"""Transformers (method T1, T2; IEC 60909-0 8.3, IEC 60076-1; from memory). Worked by hand in the comments."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sccr.iec61439.rules.iec60909_0_transformers import through_fault
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import codes
from tests.iec61439.drawing import kiloamperes
from tests.iec61439.drawing import limits
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import rated
from tests.iec61439.drawing import transformer

#: 100 · 20,000 · 1.1 / (230 · 3 · 0.9) = 3542.673... A: 20 kVA of 3 % at 230 V, single-phase.
SINGLE = 3_542_674
#: 100 · 20,000 · 1.1 / (√3 · 230 · 3 · 0.9) = 2045.363... A: the same, three-phase.
THREE = 2_045_364


def behind(secondary: str = "3.6 kA", phases: int = 1, volts: str = "230 V", **more: object) -> Document:
    nameplate = {"kva": "20 kVA", "impedance": "3 %", "phases": phases, **more}
    nameplate = {name: each for name, each in nameplate.items() if each is not None}
    return panel(
        breaker("Q1", poles=3),
        transformer("T1", "Q1", nameplate.pop("kva", None), volts, **nameplate),
        breaker("Q2", "T1", secondary),
    )


def exactly(milliamperes: int) -> str:
    return f"{milliamperes / 1000:.3f} A"


@pytest.mark.parametrize(("phases", "delivered"), [(1, SINGLE), (3, THREE)])
def test_what_is_good_for_all_that_is_delivered_limits_no_line_side(phases: int, delivered: int) -> None:
    assert kiloamperes(behind(exactly(delivered), phases)) == 50
    assert limits(behind(exactly(delivered), phases)) == ["Q1"]


@pytest.mark.parametrize(("phases", "delivered"), [(1, SINGLE), (3, THREE)])
def test_one_milliampere_less_limits_it_by_the_ratio(phases: int, delivered: int) -> None:
    document = behind(exactly(delivered - 1), phases)

    earth_fault = 3 if phases == 3 else 2  # halves: nothing says that the star is not earthed
    assert kiloamperes(document) == (delivered - 1) * 230 * 2 // (400 * earth_fault) / 1_000_000
    assert limits(document) == ["Q2"]
    assert "(T2)" in rated(document).limited_by[0].reason


@pytest.mark.parametrize("unstated", ["kva", "impedance"])
def test_what_is_not_stated_is_taken_as_unlimited(unstated: str) -> None:
    document = behind("3.6 kA", **{unstated: None})

    assert kiloamperes(document) == 2.07  # 3.6 · 230 / 400
    assert codes(document, "warning") >= {"transformer-size-missing" if unstated == "kva" else "impedance-missing"}


def test_an_autotransformer_is_taken_by_its_ratio() -> None:
    assert kiloamperes(behind("3.6 kA", isolated=False)) == 2.07


def test_a_stated_primary_takes_the_place_of_the_supply() -> None:
    assert kiloamperes(behind("3 kA", primary="415 V")) == 3_000_000 * 230 // 415 / 1_000_000


def test_a_step_up_raises_the_limit_of_the_line_side() -> None:
    document = panel(
        breaker("Q1", poles=3),
        transformer("T1", "Q1", None, "600 V", phases=3),
        breaker("Q2", "T1", "10 kA", "690 V"),
    )

    assert kiloamperes(document) == 10  # 10 · 600 / 400 · 2 / 3


def test_a_transformer_behind_another_is_carried_through_both() -> None:
    inner = transformer("T2", "Q2", None, "115 V", phases=1)
    document = panel(
        breaker("Q1", poles=3),
        transformer("T1", "Q1", None, "230 V", phases=1),
        breaker("Q2", "T1", "20 kA"),
        inner,
        breaker("Q3", "T2", "4 kA"),
    )

    assert kiloamperes(document) == 1.15  # 4 · 115/230 = 2, · 230/400 = 1.15
    assert limits(document) == ["Q3"]


def test_each_winding_is_asked_for_itself() -> None:
    document = panel(
        breaker("Q1", poles=3),
        transformer("T1", "Q1", "20 kVA", ["230 V", "115 V"], phases=1, impedance="3 %"),
        breaker("Q2", "T1/1", "3.6 kA"),
        breaker("Q3", "T1/2", "6 kA"),
    )

    # winding 2 delivers 100 · 20,000 · 1.1 / (115 · 2.7) = 7085.3 A, above its 6 kA: 6 · 115 / 400
    assert kiloamperes(document) == 1.725
    assert limits(document) == ["Q3"]


def test_half_of_a_winding_with_a_middle_conductor_is_the_hardest_fault() -> None:
    """240/120 V, 20 kVA, 3 %: 100 · 20,000 · 1.1 / (120 · 2.7) = 6790.1 A between a line and the middle."""
    fits, falls = behind("6.791 kA", volts="240/120 V"), behind("6.79 kA", volts="240/120 V")

    assert kiloamperes(fits) == 50
    assert kiloamperes(falls) == 6_790_000 * 120 // 400 / 1_000_000


def test_behind_a_small_transformer_the_devices_are_held_to_what_it_delivers() -> None:
    # 1 kVA, 5 % at 230 V: 100 · 1000 · 1.1 / (230 · 4.5) = 106.28 A
    parts = [breaker("Q1", poles=3), transformer("T1", "Q1", "1 kVA", "230 V", phases=1, impedance="5 %")]

    assert kiloamperes(panel(*parts, breaker("Q2", "T1", "107 A"))) == 50
    assert kiloamperes(panel(*parts, breaker("Q2", "T1", "106 A"))) == 0.06095


def test_a_primary_that_does_not_suit_its_circuit_is_warned_of() -> None:
    assert "transformer-primary-voltage" in codes(behind(primary="480 V"), "warning")
    assert "transformer-primary-voltage" not in codes(behind(primary="415 V"))


@given(st.integers(100, 3_000_000), st.integers(12, 1000), st.integers(1, 150), st.sampled_from([1, 3]))
def test_the_current_is_the_least_milliampere_that_is_not_below(va: int, volts: int, tenths: int, phases: int) -> None:
    """Against the square of the formula in whole numbers: I² · (√3)² · U² · uk² >= (100 · S · c)²."""
    impedance = Decimal(tenths) / 10
    found = through_fault(Decimal(va), volts * 1000, impedance, phases, Decimal("1.1"), Decimal(10))
    least = (va * 110 * 1000 * 1000) ** 2  # [mA]: 100 · 1.1 = 110; in tenths and of 90 %: uk · 10 · 100 / 90
    per = (volts * tenths * 90) ** 2 * (3 if phases == 3 else 1)

    assert found**2 * per >= least
    assert (found - 1) ** 2 * per < least


@pytest.mark.parametrize(
    ("system", "expected"),
    [(None, 1.38), ("solidly_grounded_wye", 1.38), ("ungrounded_delta", 2.07), ("impedance_grounded_wye", 2.07)],
)
def test_a_fault_to_earth_behind_a_star_may_be_half_as_much_again(system: str | None, expected: float) -> None:
    """IEC 60909-0: 3 U / √3 (2 Z1 + Z0), Z0 = 0, is 1.5 U / √3 Z1. 3.6 kA · 230 / 400 = 2.07 kA, two thirds 1.38 kA."""
    stated = {"secondary_system": system} if system else {}

    assert kiloamperes(behind("3.6 kA", 3, impedance=None, **stated)) == expected
