"""The units that are taken, each with its factor from a private pint registry.

pint and its registry take a third of a second to come up, so that nothing asks here for what `measure` knows already.
A string of a caller never goes to pint: it guesses ("65 ka" is 65 kilo-years to it) and evaluates ("9**9**9 A").
"""

from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import Final

from pint import UnitRegistry

_DEFINITIONS: Final = (
    "kilo- = 1000 = k-",
    "milli- = 0.001 = m-",
    "centi- = 0.01 = c-",
    "mega- = 1000000 = M-",
    "ampere = [current] = A",
    "volt = [voltage] = V",
    "watt = volt * ampere = W",
    "volt_ampere = watt = VA",
    "horsepower = 746 * watt = hp",  # as NFPA 70, Article 430 converts it; not the mechanical 745.7 W
    "second = [time] = s",
    "thousand_joules_per_ohm = 1000 * ampere ** 2 * second",
    "hertz = 1 / second = Hz",
    "percent = []",
    "meter = [length] = m",
    "inch = 0.0254 * meter = in",
    "foot = 12 * inch = ft",
)

#: Spellings that pint does not read, and the expression that each stands for.
_EXPRESSIONS: Final = {
    "A²s": "A**2 * s",
    "A²·s": "A**2 * s",
    "A2s": "A**2 * s",
    # The trade's thousands of A²s, as Table SB4.2 and breakers' data sheets count them,
    # not the square of kiloamperes that SI would read.
    "kA²s": "thousand_joules_per_ohm",
    "kA²·s": "thousand_joules_per_ohm",
    "kA2s": "thousand_joules_per_ohm",
    "%": "percent",
}


@cache
def factors(base: str, *spellings: str) -> Mapping[str, Decimal]:
    """Return what one of each unit is in units of `base`, exactly.

    >>> factors("mA", "A", "kA")["kA"]
    Decimal('1000000')
    """
    return MappingProxyType({spelling: _factor(spelling, base) for spelling in spellings})


def _factor(spelling: str, base: str) -> Decimal:
    registry = _registry()
    one = registry.Quantity(Decimal(1), registry.parse_units(_EXPRESSIONS.get(spelling, spelling)))
    factor = Decimal(one.to(registry.parse_units(base)).magnitude)
    return Decimal(f"{factor.normalize():f}")  # without an exponent, which would show in every product


@cache
def _registry() -> "UnitRegistry[Decimal]":
    registry: UnitRegistry[Decimal] = UnitRegistry(None, non_int_type=Decimal)
    for definition in _DEFINITIONS:
        registry.define(definition)
    return registry
