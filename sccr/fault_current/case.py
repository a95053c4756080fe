"""A case of the calculation: by which method, the maximum or the minimum, and the factors that go with it."""

from dataclasses import dataclass

from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Method
from sccr.fault_current.site import Site
from sccr.fault_current.site import Transformer
from sccr.fault_current.tables import tables


@dataclass(frozen=True, slots=True)
class Case:
    """The maximum or the minimum by a method, at a frequency [Hz] and a tolerance of low voltage [%]."""

    method: Method
    maximum: bool
    frequency: float
    voltage_tolerance: int

    @property
    def iec(self) -> bool:
        """Whether the method is that of IEC 60909-0."""
        return self.method is Method.IEC_60909

    def voltage_factor(self, nominal: float) -> float:
        """Return the voltage factor c at a nominal voltage [V]: 1 by the ohmic method."""
        if not self.iec:
            return 1.0
        fitting = (row for row in tables().voltage_factors if row.tolerance in (None, self.voltage_tolerance))
        row = min((row for row in fitting if nominal <= row.up_to), key=lambda each: each.up_to)
        return row.most if self.maximum else row.least

    def transformer_factor(self, per_unit_reactance: float, nominal: float) -> float:
        """Return K_T of IEC 60909-0 for a network transformer, by its secondary voltage [V]: in the maximum only."""
        if not (self.iec and self.maximum):
            return 1.0
        return 0.95 * self.voltage_factor(nominal) / (1 + 0.6 * per_unit_reactance)

    def tolerance_factor(self, transformer: Transformer) -> float:
        """Return what the tolerance makes of %Z, once: less of it for the maximum, more for the minimum.

        Stated, it is taken as stated; not stated and not measured, the ohmic method takes the default, and
        IEC 60909-0 none, since K_T stands for it.
        """
        tolerance = self.tolerance(transformer)
        return 1 - tolerance / 100 if self.maximum else 1 + tolerance / 100

    def tolerance(self, transformer: Transformer) -> float:
        """Return the tolerance of %Z that is applied [%]."""
        if transformer.measured:
            return 0.0
        if transformer.tolerance is not None:
            return transformer.tolerance
        return 0.0 if self.iec else tables().defaults["impedance_tolerance"]

    def temperature(self, conductor: Conductor) -> float:
        """Return the temperature at which a conductor is taken [°C]."""
        defaults = tables().defaults
        if self.iec:
            if self.maximum:
                return defaults["iec_maximum_temperature"]
            return _or(conductor.end_temperature, defaults["iec_end_temperature"])
        if self.maximum:
            return _or(conductor.temperature, defaults["maximum_temperature"])
        return _or(conductor.end_temperature, defaults["minimum_temperature"])


def _or(stated: float | None, default: float) -> float:
    return default if stated is None else stated


def cases(site: Site) -> tuple[Case, Case]:
    """Return the maximum and the minimum case of a site."""
    tolerance = site.voltage_tolerance or int(tables().defaults["iec_voltage_tolerance"])
    maximum, minimum = (Case(site.method, most, site.frequency, tolerance) for most in (True, False))
    return maximum, minimum
