"""What stands upstream, as schemas: the utility, and each element of the chain."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any
from typing import Final

from sccr.fault_current.network import NO_NEUTRAL
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Conduit
from sccr.fault_current.site import Material
from sccr.fault_current.site import Motors
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import Utility
from sccr.fault_current.site import volts
from sccr.fault_current.tables import tables
from sccr.panel.voltage import System
from sccr.schema import quantity
from sccr.schema.agreement import form_fault
from sccr.schema.agreement import phases_fault
from sccr.schema.agreement import voltage_fault
from sccr.schema.fields import Choice
from sccr.schema.fields import Flag
from sccr.schema.fields import Integer
from sccr.schema.fields import PhaseCount
from sccr.schema.fields import Text
from sccr.schema.problems import Fault
from sccr.schema.site import values
from sccr.schema.site.values import ConductorSize
from sccr.schema.site.values import Number
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema
from sccr.schema.strict_schema import refused

_SYSTEMS: Final = {system.value: system for system in System if system is not System.DC}
_MOST_X_OVER_R: Final = 200.0
_MOST_SETS: Final = 50
_MOST_CONTRIBUTION: Final = 15.0
_MOST_SEQUENCE_RATIO: Final = 50.0
#: A fault to ground can draw at most this many times the three-phase one: with no zero-sequence impedance at all.
_MOST_TO_GROUND: Final = 1.5

_Faults = Iterator[tuple[str, Fault]]


class UtilitySchema(StrictSchema):
    """The member `utility`."""

    voltage = values.of(quantity.system_voltage, required=True)
    available = values.of(values.level, required=True)
    phases = PhaseCount()
    x_over_r = Number(_MOST_X_OVER_R)
    minimum_available = values.of(values.level)
    minimum_x_over_r = Number(_MOST_X_OVER_R)
    line_to_ground_available = values.of(values.amperes)
    cross_check = values.of(values.level)
    system = Choice("system", _SYSTEMS)
    bus = Text()

    def make(self, data: dict[str, Any]) -> Utility:
        """Return the utility."""
        faults = dict(_utility_faults(data))
        if faults:
            raise refused(faults)
        renamed = {"minimum_available": "minimum", "line_to_ground_available": "line_to_ground"}
        return Utility(**{renamed.get(name, name): value for name, value in data.items()})


def _utility_faults(data: dict[str, Any]) -> _Faults:
    phases, voltage = data.get("phases", 3), data["voltage"]
    fault = form_fault(voltage, phases)
    if fault is not None:
        yield "phases", fault
    if "system" in data:
        fault = voltage_fault(voltage, data["system"]) or phases_fault(phases, data["system"])
        if fault is not None:
            yield "system", fault
    if "minimum_x_over_r" in data and "minimum_available" not in data:
        yield "minimum_x_over_r", Fault("not-applicable", "stands without minimum_available; state both")
    most = data["available"].amperes(volts(voltage), phases)
    if most is None:
        for name in ("x_over_r", "cross_check", "line_to_ground_available"):
            if name in data:
                yield name, Fault("contradiction", "stands beside an infinite bus, which has no impedance of its own")
    yield from _level_faults(data, most, phases)


def _level_faults(data: dict[str, Any], most: float | None, phases: int) -> _Faults:
    """Yield what is wrong with the other figures of a utility beside the most that it delivers [A]."""
    for name in ("minimum_available", "cross_check"):
        if name in data and data[name].infinite:
            yield name, Fault("contradiction", "is infinite, which is no figure to calculate with")
    if most is None:
        return
    least = data["minimum_available"].amperes(volts(data["voltage"]), phases) if "minimum_available" in data else None
    if least is not None and least > most:
        yield "minimum_available", Fault("contradiction", "is more than available, which is the most")
    if phases == 3 and data.get("line_to_ground_available", 0.0) > _MOST_TO_GROUND * most:
        told = "is more than 1.5 times the three-phase current, which no fault to ground can draw"
        yield "line_to_ground_available", Fault("contradiction", told)


class TransformerSchema(StrictSchema):
    """The member `transformer` of an element; names as on the transformer of a panel."""

    kva = values.of(values.volt_amperes, required=True)
    primary = values.of(quantity.system_voltage, required=True)
    secondary = values.of(quantity.system_voltage, required=True)
    secondary_system = Choice("system of a transformer", _SYSTEMS)
    phases = PhaseCount()
    impedance = values.of(values.percentage, required=True)
    impedance_tolerance = values.of(values.tolerance)
    measured = Flag()
    x_over_r = Number(_MOST_X_OVER_R)
    load_loss = values.of(values.load_loss)
    primary_connection = Choice("connection of a primary", {"delta": False, "grounded_wye": True})
    zero_sequence_ratio = Number(_MOST_SEQUENCE_RATIO)
    nominal_voltage = values.of(values.straight_volts)

    def make(self, data: dict[str, Any]) -> Transformer:
        """Return the transformer."""
        faults = dict(_transformer_faults(data))
        if faults:
            raise refused(faults)
        renamed = {
            "kva": "volt_amperes",
            "impedance_tolerance": "tolerance",
            "primary_connection": "grounded_wye_primary",
        }
        return Transformer(**{renamed.get(name, name): value for name, value in data.items()})


def _transformer_faults(data: dict[str, Any]) -> _Faults:
    phases, secondary = data.get("phases", 3), data["secondary"]
    fault = form_fault(secondary, phases)
    if fault is not None:
        yield "phases", fault
    if "secondary_system" in data:
        system = data["secondary_system"]
        fault = voltage_fault(secondary, system) or phases_fault(phases, system)
        if fault is not None:
            yield "secondary_system", fault
    if data.get("measured") and data.get("impedance_tolerance"):
        told = "stands beside measured: the impedance of this very transformer has no tolerance; leave one of them out"
        yield "impedance_tolerance", Fault("contradiction", told)
    if "x_over_r" in data and "load_loss" in data:
        yield "load_loss", Fault("contradiction", "tells the resistance as x_over_r does; leave one of them out")
    elif "load_loss" in data and data["load_loss"] >= data["impedance"] / 100 * data["kva"]:
        yield "load_loss", Fault("contradiction", "is more than the impedance allows: check the unit")
    nominal = data.get("nominal_voltage")
    if nominal is not None and not 0.8 <= nominal / volts(secondary) <= 1.25:
        yield "nominal_voltage", Fault("contradiction", f"is far from the rated secondary, {secondary.text}")


class ConductorSchema(StrictSchema):
    """The member `conductor` of an element."""

    length = values.of(values.meters, required=True)
    sets = Integer(1, _MOST_SETS)
    size = ConductorSize()
    material = Choice("material", {material.value: material for material in Material}, required=True)
    conduit = Choice("conduit", {conduit.value: conduit for conduit in Conduit})
    resistance = values.of(values.per_length)
    resistance_temperature = values.of(values.temperature)
    reactance = values.of(values.per_length)
    temperature = values.of(values.temperature)
    end_temperature = values.of(values.temperature)
    neutral_size = ConductorSize(none=True)
    ground_size = ConductorSize()
    zero_sequence_ratio = Number(_MOST_SEQUENCE_RATIO)

    def make(self, data: dict[str, Any]) -> Conductor:
        """Return the run."""
        faults = dict(_conductor_faults(data))
        if faults:
            raise refused(faults)
        return Conductor(**data)


_BY_SIZE: Final = ("conduit", "neutral_size", "ground_size")
_BY_IMPEDANCE: Final = ("resistance", "reactance", "resistance_temperature")


def _conductor_faults(data: dict[str, Any]) -> _Faults:
    if "size" in data:
        for name in _BY_IMPEDANCE:
            if name in data:
                yield name, Fault("contradiction", "stands beside size, whose tables give it; leave one of them out")
        yield from _size_faults(data)
        return
    if not any(name in data for name in _BY_IMPEDANCE):
        yield "size", Fault("required", "is missing: write it, or resistance and reactance of the run")
        return
    for name in _BY_IMPEDANCE:
        if name not in data:
            yield name, Fault("required", "is missing: resistance, its temperature and reactance go together")
    for name in _BY_SIZE:
        if name in data and data[name] != NO_NEUTRAL:
            yield name, Fault("not-applicable", "goes with size; the impedance is stated here")


def _size_faults(data: dict[str, Any]) -> _Faults:
    material = data["material"]
    for name in ("size", "neutral_size", "ground_size"):
        size = tables().sizes.get(data.get(name, ""))
        if size is not None and (material, Conduit.PVC) not in size.resistance:
            yield name, Fault("contradiction", f"the tables have no {material.value} of {size.name}")


class MotorsSchema(StrictSchema):
    """The member `motors` of an element."""

    full_load_current = values.of(values.rated_amperes)
    horsepower = values.of(values.horsepower)
    share_of_transformer = values.of(values.percentage)
    contribution = Number(_MOST_CONTRIBUTION)
    group = Choice("group of motors", {name: name for name in tables().motor_groups})
    x_over_r = Number(_MOST_X_OVER_R)
    drive_fed = Flag()

    def make(self, data: dict[str, Any]) -> Motors:
        """Return the motors."""
        sizes = ("full_load_current", "horsepower", "share_of_transformer")
        stated = [name for name in sizes if name in data]
        if not stated and not data.get("drive_fed"):
            told = "is missing: write it, or horsepower, or share_of_transformer"
            raise refused({"full_load_current": Fault("required", told)})
        if len(stated) > 1:
            told = f"stands beside {stated[0]}; leave one of them out"
            raise refused({name: Fault("contradiction", told) for name in stated[1:]})
        if "contribution" in data and "group" in data:
            raise refused({"contribution": Fault("contradiction", "stands beside group; leave one of them out")})
        return Motors(**data)


class ElementSchema(StrictSchema):
    """An element of the chain: exactly one of transformer, conductor and motors, and what is known of the node there.

    bus: the name of the node behind it; stated: what another study gives there.
    """

    transformer = Object(TransformerSchema())
    conductor = Object(ConductorSchema())
    motors = Object(MotorsSchema())
    bus = Text()
    stated = values.of(values.amperes)

    def make(self, data: dict[str, Any]) -> Any:
        """Return the element."""
        kinds = [name for name in ("transformer", "conductor", "motors") if name in data]
        if not kinds:
            raise refused({"transformer": Fault("required", "is missing: write transformer, conductor or motors")})
        if len(kinds) > 1:
            told = f"stands beside {kinds[0]}; write each as an element of its own, in their order"
            raise refused({name: Fault("contradiction", told) for name in kinds[1:]})
        node = {name: data[name] for name in ("bus", "stated") if name in data}
        if kinds[0] == "motors" and node:
            told = "goes with a transformer or conductor: motors make no node of their own"
            raise refused({name: Fault("not-applicable", told) for name in node})
        return replace(data[kinds[0]], **node)
