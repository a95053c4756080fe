"""From a symmetrical current and its X/R to the peak of the first loop and to the asymmetrical rms value.

Against the exact maximum of the R-L transient over X/R 1 to 50: κ is −0.4 to +0.6 % off, IEEE 551 −0.01 to +0.8 %,
the half-cycle formula −2.9 to −0.02 %: always low, and therefore used only in ratios.
"""

from math import exp
from math import inf
from math import pi
from math import sqrt


def x_over_r(impedance: complex) -> float:
    """Return X/R of an impedance, infinite without resistance."""
    return impedance.imag / impedance.real if impedance.real > 0 else inf


def kappa_peak(ratio: float) -> float:
    """Return the peak over rms symmetrical by IEC 60909-0: √2 κ, κ = 1.02 + 0.98 exp(−3 R/X).

    >>> round(kappa_peak(4.899), 3)
    2.194
    """
    return sqrt(2) * (1.02 + 0.98 * exp(-3 / ratio)) if ratio > 0 else sqrt(2) * 1.02


def ieee_551_peak(ratio: float) -> float:
    """Return the peak over rms symmetrical by IEEE 551 (from memory; checked against the exact maximum).

    >>> round(ieee_551_peak(4.899), 3)
    2.188
    """
    if ratio <= 0:
        return sqrt(2)
    cycles = 0.49 - 0.1 * exp(-ratio / 3)
    return sqrt(2) * (1 + exp(-2 * pi * cycles / ratio))


def half_cycle_peak(ratio: float) -> float:
    """Return the peak over rms symmetrical half a cycle after the zero of the voltage (basis of ANSI/IEEE C37.13).

    >>> round(half_cycle_peak(4.899), 3)
    2.159
    """
    return sqrt(2) * (1 + exp(-pi / ratio)) if ratio > 0 else sqrt(2)


def asymmetrical(ratio: float) -> float:
    """Return the asymmetrical over symmetrical rms half a cycle after the zero of the voltage.

    >>> round(asymmetrical(6.591), 3)
    1.331
    """
    return sqrt(1 + 2 * exp(-2 * pi / ratio)) if ratio > 0 else 1.0
