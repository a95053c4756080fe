"""Whether what is stated at a voltage may be used in a circuit, and how a circuit is said in words."""

from functools import lru_cache

from sccr.panel.component import DIRECT_CURRENT
from sccr.panel.component import SupplyType
from sccr.panel.feeds import Feed
from sccr.panel.voltage import DC
from sccr.panel.voltage import SINGLE_PHASE_THREE_WIRE
from sccr.panel.voltage import SOLIDLY_GROUNDED_WYE
from sccr.panel.voltage import STRAIGHT
from sccr.panel.voltage import WYE
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.units import MilliVolts
from sccr.units import volts_text


def serves(voltage: Voltage, supply: SupplyType, feed: Feed) -> bool:
    """Return whether a rating at a voltage may be used in a circuit.

    A slash rating serves only the grounded system that it names, within both of its voltages.
    """
    return serves_all(voltage, supply, (feed,))


def serves_all(voltage: Voltage, supply: SupplyType, fed: tuple[Feed, ...]) -> bool:
    """Return whether a rating may be used on every path that feeds a component."""
    for feed in fed:
        if (feed.system is DC) != (supply is DIRECT_CURRENT):
            return False
        if voltage.form is STRAIGHT:
            if voltage.line < feed.line:
                return False
        elif not _slash_serves(voltage, feed):
            return False
    return True


def _slash_serves(voltage: Voltage, feed: Feed) -> bool:
    wanted = SOLIDLY_GROUNDED_WYE if voltage.form is WYE else SINGLE_PHASE_THREE_WIRE
    if feed.system is not wanted or feed.to_ground is None or voltage.ground is None:
        return False
    return voltage.line >= feed.system_line and voltage.ground >= feed.to_ground


def system_text(feed: Feed) -> str:
    """Return a circuit in words, such as '480 V, solidly grounded wye'."""
    return _circuit_text(feed.line, feed.system, feed.line_to_neutral)


@lru_cache(maxsize=1024)
def _circuit_text(line: MilliVolts, system: System, line_to_neutral: bool) -> str:
    kind = " line-to-neutral" if line_to_neutral else ""
    return f"{volts_text(line)} V{kind}, {str(system).replace('_', ' ')}"
