"""The point-to-point method: magnitudes without angles. It reads low beside the vector sum, and is a cross-check only.

f = √3 L I / (C n V) of a run in a three-phase system, 2 L I / (C n V) in a single-phase one; M = 1 / (1 + f).
C is one over the impedance of a unit of length. Formulas as published in makers' fault-current handbooks.
"""

from itertools import pairwise
from math import sqrt

from sccr.fault_current.case import Case
from sccr.fault_current.impedance import of_conductor
from sccr.fault_current.impedance import of_transformer
from sccr.fault_current.network import Node
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Connection
from sccr.fault_current.site import State
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import connection
from sccr.fault_current.site import volts


def behind_run(
    current: float, volts: float, length: float, constant: float, *, sets: int = 1, phases: int = 3
) -> float:
    """Return the current at the end of a run [A] from that at its beginning [A].

    volts: line-to-line, or line-to-neutral for that fault of a single-phase run; length: one way, in the unit of
    length of the constant C.

    >>> round(behind_run(22_322, 240, 25, 22_185, phases=1))
    18454
    """
    f = (sqrt(3) if phases == 3 else 2) * length * current / (constant * sets * volts)
    return current / (1 + f)


def terminals(volt_amperes: float, volts: float, percent: float, *, phases: int = 3) -> float:
    """Return the current at the terminals of a transformer on an infinite bus [A]: full-load current × 100 / %Z.

    >>> round(terminals(1_000_000, 480, 5.75))
    20918
    """
    return volt_amperes / (volts * (sqrt(3) if phases == 3 else 1)) * 100 / percent


def behind_transformer(
    current: float, primary: float, secondary: float, volt_amperes: float, percent: float, *, phases: int = 3
) -> float:
    """Return the current behind a transformer [A] from that at its primary [A]; voltages [V], power [VA], %Z."""
    f = (sqrt(3) if phases == 3 else 1) * current * primary * percent / (100 * volt_amperes)
    return current / (1 + f) * primary / secondary


def point_to_point(state: State, nodes: tuple[Node, ...], case: Case) -> tuple[float | None, ...]:
    """Return the scalar line current at each node [A], without motors: three-phase, or line-line in single-phase."""
    if case.iec:  # c and K_T have no place in it
        return (None,) * len(nodes)
    first = nodes[0]
    current = state.utility.available.amperes(first.voltage, first.phases)
    found = [current]
    for before, node in pairwise(nodes):
        assert node.number is not None
        element = state.elements[node.number]
        if isinstance(element, Conductor):
            current = _run(current, node, abs(of_conductor(element, case)), element)
        elif isinstance(element, Transformer):
            current = _transformer(current, before, element, case)
        found.append(current)
    return tuple(found)


def _run(current: float | None, node: Node, impedance: float, conductor: Conductor) -> float | None:
    if current is None:
        return None
    constant = conductor.length / impedance / conductor.sets
    return behind_run(current, node.voltage, conductor.length, constant, sets=conductor.sets, phases=node.phases)


def _transformer(current: float | None, before: Node, transformer: Transformer, case: Case) -> float:
    secondary, power = volts(transformer.secondary), transformer.volt_amperes
    percent = abs(of_transformer(transformer, case)) * power / secondary**2 * 100
    if current is None:
        return terminals(power, secondary, percent, phases=transformer.phases)
    primary = volts(transformer.primary)
    if transformer.phases == 1 and before.phases == 3:
        between = connection(primary, before.voltage, 3, 1)
        current *= 1 if between is Connection.LINE_NEUTRAL else sqrt(3) / 2
    return behind_transformer(current, primary, secondary, power, percent, phases=transformer.phases)
