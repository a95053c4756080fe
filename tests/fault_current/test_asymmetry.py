"""The peak formulas beside the exact maximum of the R-L transient over closing angle and time."""

from math import atan
from math import exp
from math import inf
from math import pi
from math import sin
from math import sqrt

import pytest

from sccr.fault_current.asymmetry import asymmetrical
from sccr.fault_current.asymmetry import half_cycle_peak
from sccr.fault_current.asymmetry import ieee_551_peak
from sccr.fault_current.asymmetry import kappa_peak


def exact_peak(ratio: float) -> float:
    """i(t) = √2 (sin(ωt + α − φ) − sin(α − φ) exp(−ωt R/X)), over a grid."""
    angle = atan(ratio)
    best = 0.0
    for closing in range(0, 181):
        alpha = closing * pi / 180
        offset = sin(alpha - angle)
        for step in range(60, 260):
            t = step * pi / 180
            best = max(best, abs(sin(t + alpha - angle) - offset * exp(-t / ratio)))
    return sqrt(2) * best


@pytest.mark.parametrize("ratio", [1, 1.732, 3.18, 4.899, 6.591, 10, 20, 50])
def test_kappa_and_ieee_551_meet_the_exact_peak_and_the_half_cycle_is_low(ratio: float) -> None:
    exact = exact_peak(ratio)

    assert -0.005 < kappa_peak(ratio) / exact - 1 < 0.0065
    assert -0.001 < ieee_551_peak(ratio) / exact - 1 < 0.0085
    assert -0.03 < half_cycle_peak(ratio) / exact - 1 < 0.0002


@pytest.mark.parametrize(("ratio", "exact"), [(1.732, 1.694), (1.985, 1.753), (3.18, 1.978), (6.591, 2.309)])
def test_the_exact_peak_is_that_of_the_table(ratio: float, exact: float) -> None:
    assert exact_peak(ratio) == pytest.approx(exact, abs=0.0015)


@pytest.mark.parametrize("formula", [kappa_peak, ieee_551_peak, half_cycle_peak])
def test_limits(formula) -> None:
    assert formula(inf) == pytest.approx(2 * sqrt(2))
    assert sqrt(2) <= formula(1e-6) <= 1.03 * sqrt(2)
    assert formula(0) <= 1.03 * sqrt(2)


def test_asymmetrical_rms_runs_from_one_to_root_three() -> None:
    assert asymmetrical(inf) == pytest.approx(sqrt(3))
    assert asymmetrical(0) == 1
