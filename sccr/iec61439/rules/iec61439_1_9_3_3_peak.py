"""IEC 61439-1, 9.3.3: the peak withstand current by the factor n of Table 7 (method P3)."""

from collections.abc import Sequence
from decimal import ROUND_CEILING
from decimal import ROUND_FLOOR
from decimal import Decimal

from sccr.iec61439.tables import PeakFactor
from sccr.units import MilliAmperes

RULE = "P3"


def peak_factor(factors: Sequence[PeakFactor], current: MilliAmperes) -> Decimal:
    """Return n for a current [mA rms]; a current at the end of a row belongs to that row."""
    return next(row.n for row in factors if row.up_to is None or current <= row.up_to)


def peak_current(factors: Sequence[PeakFactor], current: MilliAmperes) -> MilliAmperes:
    """Return the peak withstand current [mA peak, rounded down] that goes with a current [mA rms]."""
    return int((peak_factor(factors, current) * current).to_integral_value(ROUND_FLOOR))


def peak_stress(factors: Sequence[PeakFactor], current: MilliAmperes) -> MilliAmperes:
    """Return the peak [mA peak, rounded up] that a prospective current [mA rms] brings with it."""
    return int((peak_factor(factors, current) * current).to_integral_value(ROUND_CEILING))


def within_peak(factors: Sequence[PeakFactor], current: MilliAmperes, peak: MilliAmperes) -> MilliAmperes:
    """Return the largest current [mA rms] up to `current` of which n times it is not above `peak` [mA peak].

    From the highest row down: where n alone is too high for what lies in a row, the row below is tried to its end.
    """
    for number in range(len(factors) - 1, -1, -1):
        row = factors[number]
        least = factors[number - 1].up_to if number else 0
        assert least is not None  # only the last row has no end
        most = min(current, int((peak / row.n).to_integral_value(ROUND_FLOOR)))
        if row.up_to is not None:
            most = min(most, row.up_to)
        if most > least:
            return most
    return 0
