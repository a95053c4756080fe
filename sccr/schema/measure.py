"""The kinds of quantity: their units, the range that can be meant, and how they are written."""

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace
from decimal import Decimal
from typing import Final

from sccr.schema.registry import factors


@dataclass(frozen=True, slots=True)
class Measure:
    """A kind of quantity.

    units: each spelling with its factor to the base unit; most: the highest amount that can be meant, in base units;
    whole: the unit of which only whole thousandths are taken, if any; doubtful: units with which "65.000" may have
    been meant as 65000.
    """

    name: str
    wanted: str
    example: str
    units: Mapping[str, Decimal]
    most: Decimal
    whole: str | None = None
    doubtful: frozenset[str] = frozenset()


CURRENT: Final = Measure(
    "current", "a current", '"65 kA" or "30 A"', factors("mA", "kA", "A", "mA"), Decimal(10**9), "A", frozenset({"A"})
)
AMPERE_RATING: Final = replace(CURRENT, example='"30 A" or "0.5 A"', doubtful=frozenset())
VOLTAGE: Final = Measure(
    "voltage", "a voltage", '"480 V"', factors("mV", "V", "kV"), Decimal(10**9), "V", frozenset({"V"})
)
SYSTEM_VOLTAGE: Final = replace(VOLTAGE, example='"480 V", "480Y/277 V" or "240/120 V"')
APPARENT_POWER: Final = Measure(
    "apparent power",
    "an apparent power",
    '"5 kVA" or "500 VA"',
    factors("VA", "kVA", "VA", "MVA"),
    Decimal(10**9),
    doubtful=frozenset({"VA"}),
)
#: What a utility can deliver into a fault, which no transformer in a panel is rated for.
FAULT_LEVEL: Final = replace(APPARENT_POWER, example='"500 MVA"', most=Decimal(10**11))
POWER: Final = Measure(
    "power",
    "a power",
    '"5 hp" or "3.7 kW"',
    factors("W", "hp", "kW", "W"),
    Decimal(10**9),
    doubtful=frozenset({"W", "hp"}),
)
PERCENT: Final = Measure("percentage", "a percentage", '"2.1 %"', factors("percent", "%"), Decimal(100))
CLEARING_I2T: Final = Measure(
    "clearing I²t",
    "a clearing I²t",
    '"900 kA²s" or "30000 A²s"',
    factors("A**2 * s", "kA²s", "A²s", "kA²·s", "A²·s", "kA2s", "A2s"),
    Decimal(10**15),
    doubtful=frozenset({"A²s", "A²·s", "A2s"}),
)
FREQUENCY: Final = Measure("frequency", "a frequency", '"60 Hz"', factors("Hz", "Hz", "kHz"), Decimal(10**6))
LENGTH: Final = Measure(
    "length", "a length", '"12 ft" or "3.5 m"', factors("m", "ft", "m", "in", "cm", "mm"), Decimal(10**5)
)

MEASURES: Final = (CURRENT, VOLTAGE, APPARENT_POWER, POWER, PERCENT, CLEARING_I2T, FREQUENCY, LENGTH)
