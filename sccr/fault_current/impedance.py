"""Impedances at a place in the chain [Ω], and of each thing that the chain is made of. R and X are kept apart."""

from dataclasses import dataclass
from math import inf
from math import sqrt

from sccr.fault_current.case import Case
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Conduit
from sccr.fault_current.site import Material
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import Utility
from sccr.fault_current.site import volts
from sccr.fault_current.tables import tables
from sccr.panel.voltage import System


@dataclass(frozen=True, slots=True)
class Impedances:
    """What stands upstream of a place [Ω], referred to its voltage; None where there is no such way.

    Three-phase: positive sequence a phase, and zero sequence by the neutral and by the ground. Single-phase: the
    loops line-line, line-neutral and line-ground.
    """

    line: complex
    neutral: complex | None = None
    ground: complex | None = None


def split(magnitude: float, x_over_r: float | None) -> complex:
    """Return an impedance of a magnitude [Ω] by its X/R; without one, pure reactance.

    >>> split(5.0, 4 / 3)
    (3+4j)
    """
    if x_over_r is None or x_over_r == inf:
        return complex(0.0, magnitude)
    resistance = magnitude / sqrt(1 + x_over_r**2)
    return complex(resistance, resistance * x_over_r)


def per_unit(transformer: Transformer) -> complex:
    """Return the nameplate impedance of a transformer per unit, by its X/R or its load loss."""
    magnitude = transformer.impedance / 100
    if transformer.load_loss is not None:
        resistance = transformer.load_loss / transformer.volt_amperes
        return complex(resistance, sqrt(magnitude**2 - resistance**2))
    return split(magnitude, transformer.x_over_r)


def of_transformer(transformer: Transformer, case: Case) -> complex:
    """Return the impedance [Ω] at the rated secondary voltage: a phase, or the loop of a single-phase one."""
    own = per_unit(transformer)
    base = volts(transformer.secondary) ** 2 / transformer.volt_amperes
    factor = case.transformer_factor(own.imag, nominal_voltage(transformer))
    return own * base * factor * case.tolerance_factor(transformer)


def nominal_voltage(transformer: Transformer) -> float:
    """Return the nominal voltage of the system behind a transformer [V]."""
    return transformer.nominal_voltage or volts(transformer.secondary)


def of_utility(utility: Utility, case: Case) -> Impedances:
    """Return the impedances of the utility at its own voltage."""
    nominal = volts(utility.voltage)
    line = _of_level(utility, case)
    if utility.phases == 1:
        if utility.arrangement is not System.SINGLE_PHASE_THREE_WIRE:
            return Impedances(line)
        loop = line * tables().defaults["three_wire_neutral_ratio"]
        to_neutral = _to_ground(utility, case)
        if to_neutral is not None and line:
            loop = line / abs(line) * case.voltage_factor(nominal) * nominal / 2 / to_neutral
        return Impedances(line, loop, loop)
    to_ground = _to_ground(utility, case)
    if to_ground is not None and line:
        three = sqrt(3) * case.voltage_factor(nominal) * nominal / to_ground
        zero = line / abs(line) * max(0.0, three - 2 * abs(line))
        return Impedances(line, zero, zero)
    if utility.arrangement is System.SOLIDLY_GROUNDED_WYE:
        return Impedances(line, line, line)
    return Impedances(line)


def _to_ground(utility: Utility, case: Case) -> float | None:
    """Return what the utility delivers to ground [A]: in the minimum, in proportion to what it delivers at all."""
    most, least = (
        None if each is None else each.amperes(volts(utility.voltage), utility.phases)
        for each in (utility.available, utility.minimum)
    )
    if utility.line_to_ground is None or case.maximum or most is None or least is None:
        return utility.line_to_ground
    return utility.line_to_ground * least / most


def _of_level(utility: Utility, case: Case) -> complex:
    level, x_over_r = utility.available, utility.x_over_r
    if not case.maximum and utility.minimum is not None:
        level, x_over_r = utility.minimum, utility.minimum_x_over_r or x_over_r
    current = level.amperes(volts(utility.voltage), utility.phases)
    if current is None:
        return 0j
    if x_over_r is None and case.iec:
        x_over_r = 1 / tables().defaults["iec_utility_r_over_x"]
    drive = case.voltage_factor(volts(utility.voltage)) * volts(utility.voltage)
    return split(drive / current / (sqrt(3) if utility.phases == 3 else 1), x_over_r)


def of_conductor(conductor: Conductor, case: Case, size: str | None = None) -> complex:
    """Return the impedance [Ω] of one conductor of a run, one way, all its sets in parallel.

    size: of another conductor in the same conduit, such as the neutral.
    """
    if conductor.resistance is not None and conductor.reactance is not None:
        drift = tables().drift[conductor.material, "iec_60909" if case.iec else "metric"]
        stated = drift.reference if conductor.resistance_temperature is None else conductor.resistance_temperature
        warmed = _factor(drift.reference, drift.per_kelvin, case.temperature(conductor))
        each = complex(
            conductor.resistance * warmed / _factor(drift.reference, drift.per_kelvin, stated), conductor.reactance
        )
    else:
        each = _tabulated(size or conductor.size or "", conductor, case)
    return each * conductor.length / conductor.sets


def _factor(reference: float, per_kelvin: float, temperature: float) -> float:
    return 1 + per_kelvin * (temperature - reference)


def _tabulated(name: str, conductor: Conductor, case: Case) -> complex:
    size, material = tables().sizes[name], conductor.material
    conduit = conductor.conduit or Conduit.PVC  # the lowest impedance, where none is stated
    band = size.resistance[material, conduit]
    resistance = band.least if case.maximum else band.most
    temperature = case.temperature(conductor)
    if case.iec:
        resistance *= _at_20(size.basis, material)
        warmed = _warmed("iec_60909", material, temperature)
    else:
        warmed = _warmed(size.basis, material, temperature)
    return complex(resistance * warmed, size.reactance[conduit] * case.frequency / size.frequency)


def _at_20(basis: str, material: Material) -> float:
    """Return what brings the resistance of a row to 20 °C, from where IEC 60909-0 starts."""
    return _warmed(basis, material, 20.0)


def _warmed(basis: str, material: Material, temperature: float) -> float:
    drift = tables().drift[material, basis]
    return _factor(drift.reference, drift.per_kelvin, temperature)
