"""Currents computed without floats: rounded to whole milliamperes at the end, to the side that is asked for."""

from decimal import Decimal
from fractions import Fraction
from math import isqrt

from sccr.units import MilliAmperes
from sccr.units import MilliVolts

Number = int | Decimal | Fraction


def up(amount: Fraction) -> int:
    """Return the next whole number that is not below.

    >>> up(Fraction(7, 2)), up(Fraction(3))
    (4, 3)
    """
    return -(-amount.numerator // amount.denominator)


def root_up(square: Fraction) -> int:
    """Return the square root, rounded up.

    >>> root_up(Fraction(9)), root_up(Fraction(10))
    (3, 4)
    """
    whole = up(square)
    return isqrt(whole - 1) + 1 if whole > 0 else 0


def percent_of(current: MilliAmperes, percent: Number) -> Fraction:
    """Return so many percent of a current [mA]."""
    return Fraction(percent) * current / 100


def line_current(volt_amperes: Number, line: MilliVolts, three_phase: bool) -> MilliAmperes:
    """Return the current [mA] of a power [VA, W] at a voltage between lines [mV], rounded up.

    >>> line_current(5000, 480_000, False), line_current(15000, 480_000, True)
    (10417, 18043)
    """
    single = Fraction(volt_amperes) * 1_000_000 / line
    return root_up(single * single / 3) if three_phase else up(single)
