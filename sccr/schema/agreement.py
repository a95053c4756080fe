"""Whether what is said of a voltage, a system and its phases agrees."""

from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.schema.problems import Fault

_SYSTEMS = {
    Form.WYE: (System.SOLIDLY_GROUNDED_WYE, System.IMPEDANCE_GROUNDED_WYE),
    Form.THREE_WIRE: (System.SINGLE_PHASE_THREE_WIRE, System.HIGH_LEG_DELTA),
}


def voltage_fault(voltage: Voltage, system: System) -> Fault | None:
    """Return the contradiction between a slash voltage and the system that it is said to be of, if any."""
    systems = _SYSTEMS.get(voltage.form)
    if systems is None or system in systems:
        return None
    fitting = " or ".join(systems)
    straight = f'"{Voltage(voltage.line).text}"'
    return Fault("contradiction", f"{voltage.text} is {fitting}, not {system}; correct one, or write {straight} alone")


def phases_fault(phases: int, system: System) -> Fault | None:
    """Return the contradiction between a number of phases and a system, if any."""
    if (phases == 3) == system.three_phase:
        return None
    return Fault("contradiction", f"{system} is no system of phases {phases}; correct one of them")


def form_fault(voltage: Voltage, phases: int) -> Fault | None:
    """Return the contradiction between a slash voltage and a number of phases, if any."""
    if voltage.form is Form.WYE and phases == 1:
        return Fault("contradiction", f"{voltage.text} has three phases, and phases says 1; correct one of them")
    return None
