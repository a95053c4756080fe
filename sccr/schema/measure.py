"""The kinds of quantity: their units, the range that can be meant, and how they are written.

The factors here are data, held against pint's by a test: pint is not asked for what is known.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace
from decimal import Decimal
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True)
class Measure:
    """A kind of quantity.

    base: the base unit, as pint reads it; units: each spelling with its factor to the base unit; most: the highest
    amount that can be meant, in base units; whole: the unit of which only whole thousandths are taken, if any;
    doubtful: units with which "65.000" may have been meant as 65000.
    """

    name: str
    wanted: str
    example: str
    base: str
    units: Mapping[str, Decimal]
    most: Decimal
    whole: str | None = None
    doubtful: frozenset[str] = frozenset()


def _units(**factors: str) -> Mapping[str, Decimal]:
    return MappingProxyType({spelling: Decimal(factor) for spelling, factor in factors.items()})


CURRENT: Final = Measure(
    "current",
    "a current",
    '"65 kA" or "30 A"',
    "mA",
    _units(kA="1000000", A="1000", mA="1"),
    Decimal(10**9),
    "A",
    frozenset({"A"}),
)
AMPERE_RATING: Final = replace(CURRENT, example='"30 A" or "0.5 A"', doubtful=frozenset())
VOLTAGE: Final = Measure(
    "voltage",
    "a voltage",
    '"480 V"',
    "mV",
    _units(V="1000", kV="1000000"),
    Decimal(10**9),
    "V",
    frozenset({"V"}),
)
SYSTEM_VOLTAGE: Final = replace(VOLTAGE, example='"480 V", "480Y/277 V" or "240/120 V"')
APPARENT_POWER: Final = Measure(
    "apparent power",
    "an apparent power",
    '"5 kVA" or "500 VA"',
    "VA",
    _units(kVA="1000", VA="1", MVA="1000000"),
    Decimal(10**9),
    doubtful=frozenset({"VA"}),
)
#: What a utility can deliver into a fault, which no transformer in a panel is rated for.
FAULT_LEVEL: Final = replace(APPARENT_POWER, example='"500 MVA"', most=Decimal(10**11))
POWER: Final = Measure(
    "power",
    "a power",
    '"5 hp" or "3.7 kW"',
    "W",
    _units(hp="746", kW="1000", W="1"),  # horsepower as NFPA 70, Article 430 converts it
    Decimal(10**9),
    doubtful=frozenset({"W", "hp"}),
)
PERCENT: Final = Measure("percentage", "a percentage", '"2.1 %"', "percent", _units(**{"%": "1"}), Decimal(100))
CLEARING_I2T: Final = Measure(
    "clearing I²t",
    "a clearing I²t",
    '"900 kA²s" or "30000 A²s"',
    "A**2 * s",
    # thousands of A²s, as Table SB4.2 and data sheets count, not the square of kiloamperes
    _units(**{"kA²s": "1000", "A²s": "1", "kA²·s": "1000", "A²·s": "1", "kA2s": "1000", "A2s": "1"}),
    Decimal(10**15),
    doubtful=frozenset({"A²s", "A²·s", "A2s"}),
)
FREQUENCY: Final = Measure("frequency", "a frequency", '"60 Hz"', "Hz", _units(Hz="1", kHz="1000"), Decimal(10**6))
#: How long a short circuit lasts, or is withstood: up to 5 s no heat is taken to be given off (IEC 60364-4-43, from
#: memory), and a device that takes longer to clear it is none that a rating may rest on.
DURATION: Final = Measure(
    "duration",
    "a duration",
    '"20 ms" or "1 s"',
    "s",
    _units(s="1", ms="0.001"),
    Decimal(5),
    doubtful=frozenset({"ms"}),
)
LENGTH: Final = Measure(
    "length",
    "a length",
    '"12 ft" or "3.5 m"',
    "m",
    _units(ft="0.3048", m="1", **{"in": "0.0254"}, cm="0.01", mm="0.001"),
    Decimal(10**5),
)

MEASURES: Final = (CURRENT, VOLTAGE, APPARENT_POWER, POWER, PERCENT, CLEARING_I2T, FREQUENCY, DURATION, LENGTH)
