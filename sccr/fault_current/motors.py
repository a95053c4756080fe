"""What motors feed into a fault."""

from math import sqrt
from typing import TYPE_CHECKING

from sccr.fault_current.case import Case
from sccr.fault_current.impedance import split
from sccr.fault_current.site import Motors
from sccr.fault_current.site import Transformer
from sccr.fault_current.tables import tables

if TYPE_CHECKING:
    from sccr.fault_current.network import Node


def motor_impedance(motors: Motors, node: "Node", transformer: Transformer | None, case: Case) -> complex | None:
    """Return the impedance of motors [Ω] at their node; None where they feed nothing: drive-fed, or the minimum.

    Without an X/R of their own, IEC 60909-0 takes R/X 0.42; the ohmic method takes the angle of what stands upstream,
    so that the two currents add by magnitude: the handbook's way, and the most that they can add up to.
    """
    if motors.drive_fed or not case.maximum:
        return None
    current = full_load_current(motors, node.voltage, node.phases, transformer) * times(motors, case)
    magnitude = node.voltage / current / (sqrt(3) if node.phases == 3 else 1)
    if motors.x_over_r is not None:
        return split(magnitude, motors.x_over_r)
    if case.iec:
        return split(magnitude, 1 / tables().defaults["iec_motor_r_over_x"])
    upstream = node.upstream.line
    return magnitude * upstream / abs(upstream) if upstream else split(magnitude, None)


def times(motors: Motors, case: Case) -> float:
    """Return how many times their full-load current motors feed at their own terminals."""
    if motors.contribution is not None:
        return motors.contribution
    return tables().motor_groups[motors.group or ("iec_low_voltage" if case.iec else "mixed")]


def full_load_current(motors: Motors, voltage: float, phases: int, transformer: Transformer | None) -> float:
    """Return the full-load current of motors [A] at a voltage [V]: stated, of their horsepower, or a share."""
    if motors.full_load_current is not None:
        return motors.full_load_current
    if motors.horsepower is not None:
        each = tables().defaults["volt_amperes_per_horsepower"]
        return motors.horsepower * each / (voltage * (sqrt(3) if phases == 3 else 1))
    if motors.share_of_transformer is None or transformer is None:
        raise ValueError("motors need a full-load current, a horsepower, or a share of a transformer ahead of them")
    return motors.share_of_transformer / 100 * transformer.full_load_current
