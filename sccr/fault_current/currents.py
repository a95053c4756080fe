"""Currents of the faults at a node, from the impedances that are seen there."""

from collections.abc import Iterator
from math import ceil
from math import floor
from math import isinf
from math import sqrt
from typing import Final

from sccr.fault_current.asymmetry import asymmetrical
from sccr.fault_current.asymmetry import ieee_551_peak
from sccr.fault_current.asymmetry import kappa_peak
from sccr.fault_current.asymmetry import x_over_r
from sccr.fault_current.case import Case
from sccr.fault_current.network import Node
from sccr.fault_current.network import line_to_neutral
from sccr.fault_current.result import FaultKind
from sccr.fault_current.result import FaultValue
from sccr.units import AMPERE
from sccr.units import MilliAmperes

#: A value that is whole but for the last bits of a float is that whole value, not the next.
_LAST_BITS: Final = 1e-9

Loop = tuple[FaultKind, float, complex]


def loops(node: Node) -> Iterator[Loop]:
    """Yield each kind of fault at a node, with the voltage that drives it [V] and the impedance of its loop [Ω]."""
    line = node.line
    if node.phases == 3:
        yield FaultKind.THREE_PHASE, node.voltage / sqrt(3), line
        yield FaultKind.LINE_LINE, node.voltage, 2 * line
    else:
        yield FaultKind.LINE_LINE, node.voltage, line
    for kind, way in (
        (FaultKind.LINE_NEUTRAL, node.upstream.neutral),
        (FaultKind.LINE_GROUND, node.upstream.ground),
    ):
        if way is not None:
            yield kind, line_to_neutral(node), (2 * line + way) / 3 if node.phases == 3 else way


def amperes(node: Node, case: Case) -> dict[FaultKind, float]:
    """Return the rms symmetrical current of each kind of fault at a node [A]; none at an infinite bus."""
    factor = case.voltage_factor(node.voltage)
    return {kind: factor * drive / abs(loop) for kind, drive, loop in loops(node) if loop}


def fault_values(node: Node, case: Case) -> tuple[FaultValue, ...]:
    """Return the currents of each kind of fault at a node, in whole amperes: the maximum up, the minimum down."""
    found = []
    factor = case.voltage_factor(node.voltage)
    for kind, drive, loop in loops(node):
        if not loop:
            continue
        current, ratio = factor * drive / abs(loop), x_over_r(loop)
        iec, ieee = _peaks(kind, node, current, ratio)
        found.append(
            FaultValue(
                kind=kind,
                symmetrical=whole(current, up=case.maximum),
                x_over_r=None if isinf(ratio) else round(ratio, 4),
                peak=whole(iec, up=case.maximum),
                peak_ieee_551=whole(ieee, up=case.maximum),
                asymmetrical=whole(current * asymmetrical(ratio), up=case.maximum),
            )
        )
    return tuple(found)


def _peaks(kind: FaultKind, node: Node, current: float, ratio: float) -> tuple[float, float]:
    """Return the peak by κ and by IEEE 551 [A]: what feeds a fault from several ways adds up peak by peak."""
    if len(node.sources) == 1 or kind not in (FaultKind.THREE_PHASE, FaultKind.LINE_LINE):
        return current * kappa_peak(ratio), current * ieee_551_peak(ratio)
    shares = [(current * abs(node.line / source), x_over_r(source)) for source in node.sources]
    return (
        sum(share * kappa_peak(each) for share, each in shares),
        sum(share * ieee_551_peak(each) for share, each in shares),
    )


def whole(current: float, *, up: bool) -> MilliAmperes:
    """Return a current [A] as whole amperes [mA], rounded to the safe side.

    >>> whole(20216.75, up=True), whole(20216.75, up=False), whole(5000.0000000001, up=True)
    (20217000, 20216000, 5000000)
    """
    nearest = round(current)
    if abs(current - nearest) <= _LAST_BITS * max(1.0, abs(current)):
        return nearest * AMPERE
    return (ceil(current) if up else floor(current)) * AMPERE
