"""The peak withstand current (method P3; IEC 61439-1 9.3.3 and Table 7, as the research notes have it)."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sccr.iec61439.rules.iec61439_1_9_3_3_peak import peak_current
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import peak_factor
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import peak_stress
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import within_peak
from sccr.iec61439.tables import tables
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import rated

FACTORS = tables().peak_factors


@pytest.mark.parametrize(
    ("current", "n"),
    [
        *((1, "1.5"), (5_000_000, "1.5"), (5_000_001, "1.7"), (10_000_000, "1.7"), (10_000_001, "2.0")),
        *((20_000_000, "2.0"), (20_000_001, "2.1"), (50_000_000, "2.1"), (50_000_001, "2.2"), (200_000_000, "2.2")),
    ],
)
def test_a_current_at_the_end_of_a_row_belongs_to_it(current: int, n: str) -> None:
    assert peak_factor(FACTORS, current) == Decimal(n)


@pytest.mark.parametrize(
    ("icu", "text"),
    [
        ("5 kA", "Icc 5 kA, Ipk 7.5 kA, 400 V"),
        ("10 kA", "Icc 10 kA, Ipk 17 kA, 400 V"),
        ("16 kA", "Icc 16 kA, Ipk 32 kA, 400 V"),
        ("36 kA", "Icc 36 kA, Ipk 75.6 kA, 400 V"),
        ("65 kA", "Icc 65 kA, Ipk 143 kA, 400 V"),
    ],
)
def test_the_rating_is_marked_with_its_peak(icu: str, text: str) -> None:
    rating = rated(panel(breaker("Q1", current=icu))).rating
    assert rating is not None

    assert rating.text == text


def test_the_peak_is_rounded_down_and_the_stress_up() -> None:
    """1.7 · 5,000,001 mA = 8,500,001.7 mA."""
    assert peak_current(FACTORS, 5_000_001) == 8_500_001
    assert peak_stress(FACTORS, 5_000_001) == 8_500_002


@given(st.integers(1, 300_000_000), st.integers(1, 700_000_000))
def test_within_a_peak_is_the_largest_current_that_keeps_it(current: int, peak: int) -> None:
    found = within_peak(FACTORS, current, peak)

    assert found <= current
    assert found == 0 or peak_factor(FACTORS, found) * found <= peak
    assert found == current or peak_factor(FACTORS, found + 1) * (found + 1) > peak
