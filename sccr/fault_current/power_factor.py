"""X/R at a device against the X/R at which devices of its kind are tested."""

from math import acos
from math import inf
from math import tan
from typing import Final

from sccr.fault_current.asymmetry import asymmetrical
from sccr.fault_current.asymmetry import half_cycle_peak
from sccr.fault_current.result import Finding
from sccr.fault_current.tables import DeviceTest
from sccr.fault_current.tables import tables
from sccr.units import AMPERE
from sccr.units import MilliAmperes
from sccr.units import current_text

MOLDED_CASE: Final = "molded_case"


def circuit_of_test(interrupting_rating: MilliAmperes, device: str = MOLDED_CASE) -> DeviceTest:
    """Return how a device of an interrupting rating [mA] is tested (UL 489 by rating; C37.13 basis for others)."""
    rating = interrupting_rating / AMPERE
    rows = [row for row in tables().device_tests if row.device == device]
    if not rows:
        known = sorted({row.device for row in tables().device_tests})
        raise ValueError(f"{device!r} is no device with a test circuit here; known are {', '.join(known)}")
    return next(row for row in rows if row.over < rating <= row.up_to)


def x_over_r_of_test(circuit: DeviceTest) -> float:
    """Return X/R of a test circuit: that of the highest power factor allowed, the safe side.

    >>> round(x_over_r_of_test(circuit_of_test(65_000_000)), 3)
    4.899
    """
    return tan(acos(circuit.power_factor))


def multiplying_factor(x_over_r: float | None, interrupting_rating: MilliAmperes, device: str = MOLDED_CASE) -> float:
    """Return what the available current is multiplied with before it is held against an interrupting rating.

    x_over_r: at the device, None without resistance; interrupting_rating: as marked [mA rms symmetrical]; device:
    'molded_case', 'low_voltage_power' (unfused) or 'fuse' (and fused breakers). At least 1.

    >>> round(multiplying_factor(10, 10_000_000), 2), round(multiplying_factor(5, 10_000_000), 2)
    (1.49, 1.32)
    """
    circuit = circuit_of_test(interrupting_rating, device)
    ratio = half_cycle_peak if circuit.held_by == "peak" else asymmetrical
    at_device = ratio(inf if x_over_r is None else x_over_r)
    return max(1.0, at_device / ratio(x_over_r_of_test(circuit)))


def power_factor_finding(
    x_over_r: float | None,
    available: MilliAmperes,
    interrupting_rating: MilliAmperes,
    *,
    device: str = MOLDED_CASE,
    component: str | None = None,
) -> Finding | None:
    """Return the finding of a device that stands where X/R is above that of its test, or None where it is not.

    available: at the device [mA rms symmetrical]; interrupting_rating [mA]. An error where the available current
    times the factor exceeds the rating, else a warning.
    """
    factor = multiplying_factor(x_over_r, interrupting_rating, device)
    if factor <= 1:
        return None
    circuit = circuit_of_test(interrupting_rating, device)
    needed = -int(-available * factor // AMPERE) * AMPERE
    told = (
        f"X/R {ratio_text(x_over_r)} is above {x_over_r_of_test(circuit):.2f}, at which a device of "
        f"{current_text(interrupting_rating)} is tested (power factor {circuit.power_factor:.0%}): "
        f"{current_text(available)} × {factor:.2f} = {current_text(needed)} is to be held against its rating"
    )
    severity = "error" if needed > interrupting_rating else "warning"
    return Finding(severity, "x-over-r-above-test", component, told)


def ratio_text(x_over_r: float | None) -> str:
    """Return X/R as it is written."""
    return "without resistance" if x_over_r is None else f"{x_over_r:.2f}"
