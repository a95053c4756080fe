"""Quantities as strings with a unit, such as "65 kA", read as exact integers and decimals."""

import re
from decimal import Context
from decimal import Decimal
from typing import Final

from sccr.panel.component import Power
from sccr.panel.voltage import Form
from sccr.panel.voltage import Voltage
from sccr.schema.measure import AMPERE_RATING
from sccr.schema.measure import APPARENT_POWER
from sccr.schema.measure import CLEARING_I2T
from sccr.schema.measure import CURRENT
from sccr.schema.measure import DURATION
from sccr.schema.measure import FAULT_LEVEL
from sccr.schema.measure import FREQUENCY
from sccr.schema.measure import LENGTH
from sccr.schema.measure import PERCENT
from sccr.schema.measure import POWER
from sccr.schema.measure import SYSTEM_VOLTAGE
from sccr.schema.measure import VOLTAGE
from sccr.schema.measure import Measure
from sccr.schema.misread import QuantityError
from sccr.schema.misread import why_no_quantity
from sccr.units import MilliAmperes
from sccr.units import MilliVolts

_DIGITS: Final = 12
_LONGEST: Final = 40
_EXACT: Final = Context(prec=_DIGITS + 28)

_NUMBER = r"((?:0|[1-9][0-9]*)(?:\.[0-9]+)?)"
_QUANTITY: Final = re.compile(_NUMBER + r" ?([^\s0-9.].*)")
_SLASH: Final = re.compile(_NUMBER + "(Y?)/" + _NUMBER + " ?(V|kV)")
#: What one writer means as 65 and another, who separates thousands with a point, as 65000.
_DOUBTFUL: Final = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")


def current(value: object) -> MilliAmperes:
    """Return a short-circuit or fault current [mA].

    >>> current("65 kA"), current("30 A")
    (65000000, 30000)
    """
    return int(_measured(value, CURRENT))


def ampere_rating(value: object) -> MilliAmperes:
    """Return an ampere rating or full-load current [mA], in which three decimals are nothing unusual.

    >>> ampere_rating("1.125 A")
    1125
    """
    return int(_measured(value, AMPERE_RATING))


def voltage(value: object) -> MilliVolts:
    """Return a voltage [mV] that is not a slash voltage."""
    return int(_measured(value, VOLTAGE))


def system_voltage(value: object) -> Voltage:
    """Return a voltage as marked, straight or slash, a wye's also the lower one first, as IEC 60038 has it.

    >>> system_voltage("480Y/277 V").text, system_voltage("120/240 V").text, system_voltage("230/400 V").text
    ('480Y/277 V', '240/120 V', '400Y/230 V')
    """
    if isinstance(value, str) and "/" in value:
        return _slash(value)
    return Voltage(int(_measured(value, SYSTEM_VOLTAGE)))


def volt_amperes(value: object) -> Decimal:
    """Return an apparent power [VA]."""
    return _plain(_measured(value, APPARENT_POWER))


def fault_level(value: object) -> Decimal:
    """Return what a utility can deliver into a fault [VA].

    >>> fault_level("2500 MVA")
    Decimal('2500000000')
    """
    return _plain(_measured(value, FAULT_LEVEL))


def power(value: object) -> Power:
    """Return the power of a motor or load, in the unit in which it is marked: horsepower, or watts [W]."""
    watts = _plain(_measured(value, POWER))
    if isinstance(value, str) and value.endswith("hp"):
        return Power(horsepower=Decimal(value.removesuffix("hp")))
    return Power(watts=watts)


def percent(value: object) -> Decimal:
    """Return a percentage [%] as marked, up to 100 %."""
    return _measured(value, PERCENT)


def i2t(value: object) -> Decimal:
    """Return a clearing I²t [A²s]; kA²s is a thousand A²s, as Table SB4.2 and data sheets count, not (kA)²·s."""
    return _plain(_measured(value, CLEARING_I2T))


def frequency(value: object) -> str:
    """Return a frequency in its plain form, such as '60 Hz'."""
    return f"{_plain(_measured(value, FREQUENCY))} Hz"


def duration(value: object) -> Decimal:
    """Return the duration of a short circuit [s], up to 5 s.

    >>> duration("20 ms"), duration("1 s")
    (Decimal('0.02'), Decimal('1'))
    """
    return _plain(_measured(value, DURATION))


def length(value: object) -> Decimal:
    """Return a length [m]."""
    return _plain(_measured(value, LENGTH))


def _measured(value: object, measure: Measure) -> Decimal:
    """Return the quantity in the base unit of its measure, exactly; raise QuantityError with the remedy otherwise."""
    amount = known_amount(value, measure)
    return amount_by_pint(value, measure) if amount is None else amount


def known_amount(value: object, measure: Measure) -> Decimal | None:
    """Return the quantity where nothing is amiss with it, by the factors that are data, or None for all others."""
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) and len(value) <= _LONGEST else None
    factor = measure.units.get(match[2]) if match is not None else None
    if match is None or factor is None:
        return None
    amount = _EXACT.multiply(Decimal(match[1]), factor)
    wrong = _doubt(match[1], match[2], measure) or _excess(match[1], amount, measure)
    return amount if wrong is None else None


def amount_by_pint(value: object, measure: Measure) -> Decimal:
    """Return the quantity by pint's factors, or raise the QuantityError that says what is amiss with it."""
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) and len(value) <= _LONGEST else None
    if match is None or match[2] not in measure.units:
        raise why_no_quantity(value, measure)
    # imported with the first such string: pint takes a third of a second to come up, and most processes never need it
    from sccr.schema.registry import factors

    number, unit = match[1], match[2]
    amount = _EXACT.multiply(Decimal(number), factors(measure.base, *measure.units)[unit])
    error = _doubt(number, unit, measure) or _excess(number, amount, measure)
    if error is not None:
        raise error.of(match[0])
    return amount


def _plain(amount: Decimal) -> Decimal:
    """Return the same number without an exponent or trailing zeros, for whoever prints it."""
    return Decimal(f"{amount.normalize(_EXACT):f}")


def _doubt(number: str, unit: str, measure: Measure) -> QuantityError | None:
    if unit not in measure.doubtful or not _DOUBTFUL.fullmatch(number):
        return None
    small, large = f"{_plain(Decimal(number))} {unit}", f"{number.replace('.', '')} {unit}"
    return QuantityError("ambiguous-number", f'can be read as {small} and as {large}: write "{small}" or "{large}"')


def _excess(number: str, amount: Decimal, measure: Measure) -> QuantityError | None:
    if not amount:
        return QuantityError("not-positive", f"is zero; {measure.wanted} above zero is wanted")
    if amount > measure.most:
        return QuantityError("out-of-range", f"is more than any {measure.name} that can be meant here: check the unit")
    if len(number.replace(".", "").lstrip("0")) > _DIGITS:
        return QuantityError("too-precise", f"has more than {_DIGITS} digits: write fewer")
    if measure.whole is not None and amount != amount.to_integral_value():
        return QuantityError("too-precise", f"is finer than a thousandth of 1 {measure.whole}: write fewer decimals")
    return None


def _slash(value: str) -> Voltage:
    match = _SLASH.fullmatch(value) if len(value) <= _LONGEST else None
    if match is None:
        raise why_no_quantity(value, SYSTEM_VOLTAGE)
    first, second = (int(_measured(f"{number} {match[4]}", VOLTAGE)) for number in (match[1], match[3]))
    line, ground = (first, second) if match[2] or first >= second else (second, first)
    if 16 * ground <= 10 * line <= 18 * ground:
        return Voltage(line, ground, Form.WYE)
    if line == 2 * ground and not match[2]:
        return Voltage(line, ground, Form.THREE_WIRE)
    raise QuantityError(
        "not-a-quantity",
        "is no slash voltage: the two differ by √3, as in 480Y/277 V, or by 2, as in 240/120 V; "
        'write the line-to-line voltage alone, such as "480 V", where it is neither',
    ).of(value)
