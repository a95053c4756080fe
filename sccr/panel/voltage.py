"""Voltages as the trade writes them: straight (480 V) and slash (480Y/277 V, 240/120 V)."""

from dataclasses import dataclass
from enum import StrEnum
from math import isqrt
from typing import Final

from sccr.units import VOLT
from sccr.units import MilliVolts
from sccr.units import volts_text


class System(StrEnum):
    """How a supply, or a transformer's secondary, is arranged and grounded (NFPA 70, Article 250)."""

    SOLIDLY_GROUNDED_WYE = "solidly_grounded_wye"
    IMPEDANCE_GROUNDED_WYE = "impedance_grounded_wye"
    UNGROUNDED_DELTA = "ungrounded_delta"
    CORNER_GROUNDED_DELTA = "corner_grounded_delta"
    HIGH_LEG_DELTA = "high_leg_delta"
    SINGLE_PHASE_TWO_WIRE = "single_phase_two_wire"
    SINGLE_PHASE_THREE_WIRE = "single_phase_three_wire"
    DC = "dc"

    @property
    def three_phase(self) -> bool:
        """Whether the system has three ungrounded conductors."""
        return self not in _NOT_THREE_PHASE


#: Members that are compared with again and again: Python 3.11 finds a member of an enumeration by a function.
DC: Final = System.DC
SOLIDLY_GROUNDED_WYE: Final = System.SOLIDLY_GROUNDED_WYE
SINGLE_PHASE_THREE_WIRE: Final = System.SINGLE_PHASE_THREE_WIRE
_NOT_THREE_PHASE = {System.SINGLE_PHASE_TWO_WIRE, System.SINGLE_PHASE_THREE_WIRE, System.DC}


class Form(StrEnum):
    """The three ways a voltage is written."""

    STRAIGHT = "straight"
    WYE = "wye"
    THREE_WIRE = "three_wire"


STRAIGHT: Final = Form.STRAIGHT
WYE: Final = Form.WYE


@dataclass(frozen=True, slots=True)
class Voltage:
    """A voltage as marked: line-to-line [mV] and, for a slash voltage, to ground [mV]."""

    line: MilliVolts
    ground: MilliVolts | None = None
    form: Form = Form.STRAIGHT

    @property
    def text(self) -> str:
        """Return the voltage the trade's way, such as '480Y/277 V'."""
        if self.ground is None:
            return f"{volts_text(self.line)} V"
        separator = "Y/" if self.form is WYE else "/"
        return f"{volts_text(self.line)}{separator}{volts_text(self.ground)} V"


#: Nominal line-to-line and line-to-ground pairs of wye systems, volts (ANSI C84.1; IEC 60038; from memory).
NOMINAL_WYE_PAIRS = {208: 120, 240: 139, 380: 220, 400: 230, 415: 240, 480: 277, 600: 347, 690: 400}


def wye_line_to_ground(line: MilliVolts) -> MilliVolts:
    """Return the line-to-ground voltage [mV] of a wye system: the nominal pair, else line/√3 rounded up to a volt.

    >>> wye_line_to_ground(480_000), wye_line_to_ground(460_000)
    (277000, 266000)
    """
    nominal = NOMINAL_WYE_PAIRS.get(line // VOLT) if line % VOLT == 0 else None
    if nominal is not None:
        return nominal * VOLT
    return (isqrt(line * line // 3 - 1) // VOLT + 1) * VOLT  # integers: no float decides a comparison
