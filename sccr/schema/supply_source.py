"""Whether the source of a supply leads to that supply: its voltage, phases and frequency, and a current at all."""

from collections.abc import Iterator
from collections.abc import Mapping
from math import sqrt
from typing import Any
from typing import Final

from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Site
from sccr.fault_current.site import State
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import volts
from sccr.fault_current.tables import tables
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import Path

_HERTZ: Final = " Hz"


def phases_of(own: Mapping[str, Any]) -> int:
    """Return the phases of a supply; those that are not stated are those of its system."""
    stated: int | None = own.get("phases")
    return stated or (3 if own["system"].three_phase else 1)


def frequency_of(own: Mapping[str, Any]) -> float:
    """Return the frequency at which a source is calculated [Hz]: the supply's, where it states one."""
    site: Site = own["source"]
    return float(own["frequency"].removesuffix(_HERTZ)) if "frequency" in own else site.frequency


def source_faults(path: Path, own: Mapping[str, Any], raw: Any) -> Iterator[Found]:
    """Yield what is wrong with a source at the supply that it stands on; `raw`: the supply as it is written."""
    system, voltage, site = own.get("system"), own.get("voltage"), own["source"]
    if system is System.DC:
        yield Found(path, Fault("not-applicable", "is calculated for alternating current; leave it out of a DC supply"))
        return
    yield from _frequency_faults(path, own, raw)
    for number, state in enumerate(site.states):
        where = (*path, "alternates", number - 1) if number else path
        if not _has_impedance(state):
            told = "is missing: an infinite bus has no impedance; write what stands behind it"
            yield Found((*where, "elements"), Fault("required", told))
        elif system is not None and voltage is not None:
            fault = _end_fault(state, voltage, phases_of(own))
            if fault is not None:
                yield Found(where, fault)


def _frequency_faults(path: Path, own: Mapping[str, Any], raw: Any) -> Iterator[Found]:
    if "frequency" not in own:
        return
    supply, site = frequency_of(own), own["source"].frequency
    if supply not in (50.0, 60.0):
        yield Found(path, Fault("not-applicable", f"is calculated at 50 Hz or 60 Hz, and the supply has {supply:g} Hz"))
    elif "frequency" in raw["source"] and supply != site:
        told = f"is {site:g} Hz, and the supply has {supply:g} Hz; correct one, or leave it out here"
        yield Found((*path, "frequency"), Fault("contradiction", told))


def _has_impedance(state: State) -> bool:
    has = any(isinstance(element, Transformer | Conductor) for element in state.elements)
    return has or not state.utility.available.infinite


def _end_fault(state: State, voltage: Voltage, phases: int) -> Fault | None:
    """Return that a chain does not end at the voltage and phases of the supply, if so."""
    last = next((each for each in reversed(state.elements) if isinstance(each, Transformer)), None)
    end = volts(state.utility.voltage) if last is None else last.nominal_voltage or volts(last.secondary)
    there = state.utility.phases if last is None else last.phases
    fitting = [end]
    if phases == 1:  # a single-phase supply may stand between a line and the neutral of what the source ends in
        fitting.append(end / (sqrt(3) if there == 3 else 2))
    most = tables().defaults["voltage_difference"] / 100
    if phases <= there and any(abs(volts(voltage) / each - 1) <= most for each in fitting):
        return None
    told = f"ends at {end:g} V, phases {there}, and the supply is {voltage.text}, phases {phases}; correct one of them"
    return Fault("contradiction", told)
