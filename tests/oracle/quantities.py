"""Read the quantities of a panel document with a parser of its own."""

import re
from dataclasses import dataclass
from decimal import Decimal

_SCALES = {"A": 1, "kA": 1000, "V": 1, "kV": 1000, "VA": 1, "kVA": 1000, "MVA": 1_000_000, "%": 1}


def scaled(text: str, *units: str) -> Decimal:
    """The number in front of the unit, in the unit's base (A, V, VA, per cent)."""
    match = re.fullmatch(r"\s*([0-9.]+)\s*(\S+)\s*", text)
    if match is None or match[2] not in units:
        raise ValueError(f"{text!r} is not in {' or '.join(units)}")
    return Decimal(match[1]) * _SCALES[match[2]]


def milliamperes(text: str) -> int:
    """A current such as "65 kA" or "30 A" in milliamperes."""
    return int(scaled(text, "kA", "A") * 1000)


def horsepower(text: str) -> tuple[Decimal, str]:
    """A motor power such as "5 hp" or "3.7 kW": the number and its unit."""
    match = re.fullmatch(r"\s*([0-9.]+)\s*(hp|kW)\s*", text)
    if match is None:
        raise ValueError(f"{text!r} is not in hp or kW")
    return Decimal(match[1]), match[2]


@dataclass(frozen=True)
class Volts:
    """A voltage as written: "480 V", "480Y/277 V" (wye) or "240/120 V"."""

    line: Decimal
    ground: Decimal | None = None
    wye: bool = False


def volts(text: str) -> Volts:
    """Read a straight or a slash voltage."""
    match = re.fullmatch(r"\s*([0-9.]+)\s*(Y?)/\s*([0-9.]+)\s*V\s*", text)
    if match is None:
        return Volts(scaled(text, "V", "kV"))
    return Volts(Decimal(match[1]), Decimal(match[3]), match[2] == "Y")
