"""Currents and voltages as exact integers, and how they are written for people.

Inside the engine a current is an integer number of milliamperes and a voltage an integer number of
millivolts, so that 16 kA and 16000 A are equal and an equality at a threshold passes by arithmetic,
not by luck of binary fractions.
"""

import sys
from functools import lru_cache
from typing import Any
from typing import Final

MilliAmperes = int
MilliVolts = int

#: The value of a part that has been lifted out of the way when the staircase of next limits is worked out.
UNLIMITED: Final[MilliAmperes] = sys.maxsize

KILO: Final = 1_000
AMPERE: Final[MilliAmperes] = 1_000
KILOAMPERE: Final[MilliAmperes] = 1_000_000
VOLT: Final[MilliVolts] = 1_000


def scaled(milli: int, unit: int) -> str:
    """Return `milli` divided by `unit` as an exact decimal without trailing zeros."""
    sign, magnitude = ("-", -milli) if milli < 0 else ("", milli)
    whole, rest = divmod(magnitude, unit)
    if not rest:
        return f"{sign}{whole}"
    digits = len(str(unit)) - 1
    return f"{sign}{whole}." + f"{rest:0{digits}d}".rstrip("0")


@lru_cache(maxsize=4096)
def current_text(current: MilliAmperes) -> str:
    """Return a current [mA] as it is written on a nameplate: kA from one kiloampere up, else A.

    >>> current_text(22_000_000), current_text(3_500_000), current_text(200_000)
    ('22 kA', '3.5 kA', '200 A')
    """
    if current >= UNLIMITED:
        return "unlimited"
    if abs(current) >= KILOAMPERE:
        return f"{scaled(current, KILOAMPERE)} kA"
    return f"{scaled(current, AMPERE)} A"


@lru_cache(maxsize=4096)
def ampere_rating_text(rating: MilliAmperes) -> str:
    """Return an ampere rating [mA] as it is marked on a device: in amperes, '1200 A'."""
    return f"{scaled(rating, AMPERE)} A"


def amperes(current: MilliAmperes) -> int | float:
    """Return a current [mA] in amperes [A]: a whole number wherever it is one."""
    whole, rest = divmod(current, AMPERE)
    return current / AMPERE if rest else whole


def current_fields(current: MilliAmperes) -> dict[str, Any]:
    """Return a current [mA] twice: to read and to compute with."""
    return shared_current_fields(current).copy()


@lru_cache(maxsize=4096)
def shared_current_fields(current: MilliAmperes) -> dict[str, Any]:
    """Return the same, for whoever copies it: one dictionary for all who ask for a current."""
    return {"current": current_text(current), "current_amperes": amperes(current)}


@lru_cache(maxsize=4096)
def volts_text(voltage: MilliVolts) -> str:
    """Return a voltage [mV] in volts without its unit, such as '480'."""
    return scaled(voltage, VOLT)
