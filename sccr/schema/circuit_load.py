"""The load of a circuit: motor, heater, transformer, drive, receptacle, lighting, or a current alone."""

import re
from decimal import Decimal
from typing import Any
from typing import Final

from sccr.panel.component import Power
from sccr.schema import quantity
from sccr.schema.fields import Choice
from sccr.schema.fields import Flag
from sccr.schema.fields import Integer
from sccr.schema.fields import PhaseCount
from sccr.schema.fields import Quantity
from sccr.schema.fields import Strict
from sccr.schema.misread import QuantityError
from sccr.schema.problems import Fault
from sccr.schema.problems import invalid
from sccr.schema.problems import shown
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema
from sccr.schema.strict_schema import refused
from sccr.schema.temperature import Temperature
from sccr.selection.circuit import Drive
from sccr.selection.circuit import Heater
from sccr.selection.circuit import Lighting
from sccr.selection.circuit import Load
from sccr.selection.circuit import Motor
from sccr.selection.circuit import MotorType
from sccr.selection.circuit import PlainCurrent
from sccr.selection.circuit import Receptacle
from sccr.selection.circuit import TransformerLoad
from sccr.selection.circuit import TransformerProtection
from sccr.selection.tables import tables

_MOST_RECEPTACLES: Final = 100
_FACTOR: Final = re.compile(r"[1-2](\.[0-9]{1,2})?")


class ServiceFactor(Strict):
    """The service factor of a motor's nameplate, which has no unit: a number, or a decimal in a string."""

    def read(self, value: Any) -> Decimal:
        """Return the factor."""
        text = str(value) if isinstance(value, int | float | str) and not isinstance(value, bool) else ""
        if not _FACTOR.fullmatch(text):
            raise invalid(
                "out-of-range", f"{shown(value)} is no service factor; write a number from 1 to 2, such as 1.15"
            )
        return Decimal(text)


def _watts(value: object) -> Decimal:
    power: Power = quantity.power(value)
    if power.watts is None:
        raise QuantityError("wrong-dimension", 'is in horsepower; write the power of a heater such as "4.5 kW"').of(
            value
        )
    return power.watts


class _Motor(StrictSchema):
    horsepower = Quantity(quantity.power)
    full_load_current = Quantity(quantity.ampere_rating)
    voltage = Quantity(quantity.system_voltage)
    phases = PhaseCount()
    code_letter = Choice("code letter", {letter: letter for letter in tables().code_letters})
    type = Choice("type of motor", {each.value: each for each in MotorType})
    service_factor = ServiceFactor()
    temperature_rise = Temperature()
    low_speed = Flag()

    def make(self, data: dict[str, Any]) -> Motor:
        """Return the motor; its power or its full-load current must be known, and the power where a letter is."""
        if "horsepower" not in data and "full_load_current" not in data:
            raise refused({"horsepower": Fault("required", "is missing: write it, or full_load_current")})
        if "code_letter" in data and "horsepower" not in data:
            raise refused({"code_letter": Fault("contradiction", "tells kVA a horsepower; write horsepower as well")})
        if data.get("low_speed") and "full_load_current" not in data:
            told = "is missing: a motor of low speed is sized by its nameplate (NEC 430.6(A)(1))"
            raise refused({"full_load_current": Fault("required", told)})
        return Motor(power=data.pop("horsepower", None), **data)


class _Heater(StrictSchema):
    kw = Quantity(_watts, required=True)
    voltage = Quantity(quantity.system_voltage)
    phases = PhaseCount()

    def make(self, data: dict[str, Any]) -> Heater:
        """Return the heater."""
        return Heater(watts=data.pop("kw"), **data)


class _Transformer(StrictSchema):
    kva = Quantity(quantity.volt_amperes, required=True)
    protection = Choice("protection", {each.value: each for each in TransformerProtection})
    phases = PhaseCount()

    def make(self, data: dict[str, Any]) -> TransformerLoad:
        """Return the transformer."""
        return TransformerLoad(volt_amperes=data.pop("kva"), **data)


class _Drive(StrictSchema):
    input_current = Quantity(quantity.ampere_rating, required=True)
    motor = Object(_Motor())
    max_ampere_rating = Quantity(quantity.ampere_rating)
    phases = PhaseCount()

    def make(self, data: dict[str, Any]) -> Drive:
        """Return the drive."""
        return Drive(max_amperes=data.pop("max_ampere_rating", None), **data)


class _Receptacle(StrictSchema):
    ampere_rating = Quantity(quantity.ampere_rating, required=True)
    count = Integer(1, _MOST_RECEPTACLES)
    phases = PhaseCount()

    def make(self, data: dict[str, Any]) -> Receptacle:
        """Return the receptacles."""
        return Receptacle(amperes=data.pop("ampere_rating"), **data)


class _Lighting(StrictSchema):
    current = Quantity(quantity.ampere_rating, required=True)
    phases = PhaseCount()

    def make(self, data: dict[str, Any]) -> Lighting:
        """Return the lighting."""
        return Lighting(**data)


class LoadSchema(StrictSchema):
    """The member `load` of a circuit: an object with exactly one member."""

    motor = Object(_Motor())
    heater = Object(_Heater())
    transformer = Object(_Transformer())
    drive = Object(_Drive())
    receptacle = Object(_Receptacle())
    lighting = Object(_Lighting())
    current = Quantity(quantity.ampere_rating)

    def make(self, data: dict[str, Any]) -> Load:
        """Return the one load."""
        if not data:
            told = f"is missing: write one of {', '.join(self._names)}"
            raise refused({"motor": Fault("required", told)})
        first, *others = data
        if others:
            raise refused({name: Fault("contradiction", f"stands beside {first}; keep one load") for name in others})
        return PlainCurrent(data[first]) if first == "current" else data[first]
