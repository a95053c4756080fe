"""The values that only a site has: levels of a utility, sizes of conductors, temperatures, impedances of a length."""

import math
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any
from typing import Final

from sccr.fault_current.network import NO_NEUTRAL
from sccr.fault_current.site import Level
from sccr.fault_current.tables import tables
from sccr.schema import quantity
from sccr.schema.fields import Quantity
from sccr.schema.fields import Strict
from sccr.schema.misread import QuantityError
from sccr.schema.problems import invalid
from sccr.schema.problems import shown
from sccr.units import AMPERE
from sccr.units import VOLT

INFINITE: Final = "infinite"

_NUMBER = r"((?:0|[1-9][0-9]*)(?:\.[0-9]+)?)"
_TEMPERATURE: Final = re.compile(_NUMBER + " ?°C")
_PER_LENGTH: Final = re.compile(_NUMBER + " ?(m\u03a9|mohm|\u03a9|\u2126|ohm)/(km|m|kft|1000 ft)")
_PERCENT: Final = re.compile(_NUMBER + " ?%")
_LONGEST: Final = 40
_HOTTEST: Final = 500
_MOST_OHMS: Final = 1.0  # a meter: a wire far thinner than any feeder
_FEET: Final = Decimal("304.8")
_LENGTHS: Final = {"km": Decimal(1000), "m": Decimal(1), "kft": _FEET, "1000 ft": _FEET}
_OHMS: Final = {
    "m\u03a9": Decimal("0.001"),
    "mohm": Decimal("0.001"),
    "\u03a9": Decimal(1),  # the Greek letter, and the sign for ohm that some keyboards write
    "\u2126": Decimal(1),
    "ohm": Decimal(1),
}


class Number(Strict):
    """A plain number without a unit, above zero (or from zero on) and up to a limit: a ratio."""

    def __init__(self, most: float, *, zero: bool = False, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._most = most
        self._zero = zero

    def read(self, value: Any) -> float:
        """Return the number itself."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise invalid("not-a-number", f"{shown(value)} is not a plain number, such as 6 or 4.5")
        if not math.isfinite(value) or not (value > 0 or (self._zero and value == 0)) or value > self._most:
            least = "0" if self._zero else "above 0"
            raise invalid("out-of-range", f"{shown(value)} is not within {least} to {self._most:g}")
        return float(value)


class ConductorSize(Strict):
    """A size of conductor with its unit, as the tables have it."""

    def __init__(self, *, none: bool = False, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._none = none

    def read(self, value: Any) -> str:
        """Return the size as the tables name it."""
        if not isinstance(value, str) or len(value) > _LONGEST:
            wanted = 'such as "3/0 AWG", "500 kcmil" or "95 mm²"'
            raise invalid("not-a-size", f"{shown(value)} is no size of a conductor; write it with its unit, {wanted}")
        if self._none and value == NO_NEUTRAL:
            return value
        name = re.sub(r" ?mm(²|2)$", " mm²", value)
        if name in tables().sizes:
            return name
        raise invalid("unknown-size", f"{shown(value)} is no size of the tables{_told(value)}", name, tables().sizes)


def _told(value: str) -> str:
    """Return what is to be said of the commonest ways to write a size that can be misread."""
    if re.fullmatch(r"[0-9/.]+", value):
        return "; write its unit: AWG, kcmil or mm²"
    if re.fullmatch(r"#? ?0+( ?AWG)?", value):
        return '; write "1/0 AWG" for 0, "2/0 AWG" for 00'
    if re.fullmatch(r"[0-9]+ ?(MCM|mcm)", value):
        return "; write kcmil for MCM"
    return "; for others state resistance and reactance"


def level(value: object) -> Level:
    """Return what a utility delivers: "500 MVA", "22 kA" or "infinite"."""
    if value == INFINITE:
        return Level()
    if isinstance(value, str) and value.endswith("VA"):
        return Level(volt_amperes=float(quantity.fault_level(value)))
    if isinstance(value, str) and value.endswith("A"):
        return Level(current=quantity.current(value) / AMPERE)
    told = 'is no current, power or "infinite"; write one with its unit, such as "22 kA" or "500 MVA"'
    raise QuantityError("not-a-quantity", told).of(value)


def amperes(value: object) -> float:
    """Return a current [A]."""
    return quantity.current(value) / AMPERE


def rated_amperes(value: object) -> float:
    """Return a full-load current [A]."""
    return quantity.ampere_rating(value) / AMPERE


def straight_volts(value: object) -> float:
    """Return a voltage that is not a slash voltage [V]."""
    return quantity.voltage(value) / VOLT


def meters(value: object) -> float:
    """Return a length [m]."""
    return float(quantity.length(value))


def volt_amperes(value: object) -> float:
    """Return an apparent power [VA]."""
    return float(quantity.volt_amperes(value))


def percentage(value: object) -> float:
    """Return a percentage above zero."""
    return float(quantity.percent(value))


def tolerance(value: object) -> float:
    """Return a tolerance [%], which may be zero: "10 %", "0 %"."""
    match = _PERCENT.fullmatch(value) if isinstance(value, str) and len(value) <= _LONGEST else None
    if match is not None and Decimal(match[1]) == 0:
        return 0.0
    found = float(quantity.percent(value))
    if found >= 50:
        raise QuantityError("out-of-range", "is more than any tolerance that can be meant").of(value)
    return found


def load_loss(value: object) -> float:
    """Return a loss [W]."""
    if isinstance(value, str) and value.endswith("hp"):
        raise QuantityError("wrong-dimension", 'is in horsepower; write a loss in watts, such as "6.5 kW"').of(value)
    return float(quantity.power(value).watts or 0)


def horsepower(value: object) -> float:
    """Return a sum of horsepower [hp]."""
    power = quantity.power(value)
    if power.horsepower is None:
        raise QuantityError("wrong-dimension", 'is not in horsepower, such as "200 hp"').of(value)
    return float(power.horsepower)


def temperature(value: object) -> float:
    """Return a temperature [°C].

    >>> temperature("25 °C")
    25.0
    """
    match = _TEMPERATURE.fullmatch(value) if isinstance(value, str) and len(value) <= _LONGEST else None
    if match is None:
        raise QuantityError("not-a-quantity", 'is no temperature; write it in °C, such as "25 °C"').of(value)
    if float(match[1]) > _HOTTEST:
        raise QuantityError("out-of-range", "is hotter than any conductor may be").of(value)
    return float(match[1])


def per_length(value: object) -> float:
    """Return an impedance of a length [Ω/m].

    >>> per_length("0.08 ohm/km")
    8e-05
    """
    match = _PER_LENGTH.fullmatch(value) if isinstance(value, str) and len(value) <= _LONGEST else None
    if match is None:
        wanted = '"0.0812 ohm/km" or "0.049 ohm/kft"'
        raise QuantityError("not-a-quantity", f"is no impedance of a length; write one such as {wanted}").of(value)
    found = float(Decimal(match[1]) * _OHMS[match[2]] / _LENGTHS[match[3]])
    if found > _MOST_OHMS:
        raise QuantityError("out-of-range", "is more than any conductor has: check the unit").of(value)
    return found


def of(read: Callable[[object], Any], **kwargs: Any) -> Quantity:
    """Return the field of a quantity that `read` reads."""
    return Quantity(read, **kwargs)
