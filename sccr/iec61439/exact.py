"""Square roots of exact fractions, rounded down or up: no float decides a comparison."""

from fractions import Fraction
from math import isqrt


def root_down(square: Fraction) -> int:
    """Return the largest integer whose square is not above a fraction.

    >>> root_down(Fraction(99)), root_down(Fraction(100)), root_down(Fraction(201, 2))
    (9, 10, 10)
    """
    return isqrt(square.numerator // square.denominator)


def root_up(square: Fraction) -> int:
    """Return the smallest integer whose square is not below a fraction.

    >>> root_up(Fraction(99)), root_up(Fraction(100)), root_up(Fraction(201, 2))
    (10, 10, 11)
    """
    down = root_down(square)
    return down if down * down == square else down + 1
