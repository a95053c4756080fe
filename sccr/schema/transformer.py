"""The nameplate of a transformer."""

from collections.abc import Iterator
from typing import Any
from typing import Final

from sccr.panel.component import Transformer
from sccr.panel.voltage import System
from sccr.schema import quantity
from sccr.schema.agreement import form_fault
from sccr.schema.agreement import phases_fault
from sccr.schema.agreement import voltage_fault
from sccr.schema.fields import Choice
from sccr.schema.fields import Flag
from sccr.schema.fields import OneOrMore
from sccr.schema.fields import PhaseCount
from sccr.schema.fields import Quantity
from sccr.schema.problems import Fault
from sccr.schema.strict_schema import StrictSchema
from sccr.schema.strict_schema import refused

_WINDINGS: Final = 20
_SYSTEMS: Final = {system.value: system for system in System if system is not System.DC}


class TransformerSchema(StrictSchema):
    """The member `transformer` of a component."""

    kva = Quantity(quantity.volt_amperes)
    primary = Quantity(quantity.system_voltage)
    secondary = OneOrMore(Quantity(quantity.system_voltage), _WINDINGS, 1)
    secondary_system = OneOrMore(Choice("system of a transformer", _SYSTEMS), _WINDINGS, 1)
    phases = PhaseCount()
    impedance = Quantity(quantity.percent)
    isolated = Flag()

    def make(self, data: dict[str, Any]) -> Transformer:
        """Return the nameplate."""
        faults = dict(_faults(data))
        if faults:
            raise refused(faults)
        return Transformer(
            secondaries=data.get("secondary", ()),
            secondary_systems=data.get("secondary_system", ()),
            primary=data.get("primary"),
            volt_amperes=data.get("kva"),
            phases=data.get("phases"),
            impedance_percent=data.get("impedance"),
            isolated=data.get("isolated"),
        )


def _faults(data: dict[str, Any]) -> Iterator[tuple[str, Fault]]:
    windings, systems, phases = data.get("secondary", ()), data.get("secondary_system", ()), data.get("phases")
    if systems and not windings:
        yield "secondary", Fault("required", "is missing: secondary_system tells the system of each winding")
        return
    if systems and len(systems) != len(windings):
        told = f"tells {len(systems)} systems of {len(windings)} windings; write one for each, in the same order"
        yield "secondary_system", Fault("wrong-length", told)
        return
    for voltage, system in zip(windings, systems, strict=False):
        fault = voltage_fault(voltage, system) or (phases_fault(phases, system) if phases else None)
        if fault is not None:
            yield "secondary_system", fault
    if phases is not None and not systems:
        for fault in filter(None, (form_fault(voltage, phases) for voltage in windings)):
            yield "phases", fault
