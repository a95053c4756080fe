"""From what was read of a supply to the supply."""

from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from typing import Final

from sccr.panel.panel import Supply
from sccr.panel.voltage import System
from sccr.schema.agreement import phases_fault
from sccr.schema.agreement import voltage_fault
from sccr.schema.catalogue import Catalogue
from sccr.schema.component import upstream_component
from sccr.schema.component import upstream_faults
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import Path
from sccr.schema.supply_source import frequency_of
from sccr.schema.supply_source import phases_of
from sccr.schema.supply_source import source_faults

_THREE_PHASE_WIRES: Final = (3, 4, 5)
_FEWER_PHASE_WIRES: Final = (2, 3, 4)


def supply_faults(path: Path, raw: Any, own: Mapping[str, Any], catalogue: Catalogue | None) -> Iterator[Found]:
    """Yield what is wrong with the members of a supply together; `raw`: as they are written."""
    for name, fault in _contradictions(own):
        yield Found((*path, name), fault)
    if "source" in own:
        yield from source_faults((*path, "source"), own, raw)
    if "upstream_protection" in own:
        yield from upstream_faults((*path, "upstream_protection"), own, catalogue)


def _contradictions(own: Mapping[str, Any]) -> Iterator[tuple[str, Fault]]:
    system = own.get("system")
    if system is not None and "voltage" in own:
        fault = voltage_fault(own["voltage"], system)
        if fault is not None:
            yield "voltage", fault
    if system is not None and "phases" in own:
        fault = phases_fault(own["phases"], system)
        if fault is not None:
            yield "phases", fault
    if system is not None and "wires" in own:
        fitting = _THREE_PHASE_WIRES if system.three_phase else _FEWER_PHASE_WIRES
        if own["wires"] not in fitting:
            yield "wires", Fault("contradiction", f"{own['wires']} wires are too few or too many for {system}")
    if system is System.DC and "frequency" in own:
        yield "frequency", Fault("contradiction", "a DC supply has no frequency; leave it out")


def supply(own: Mapping[str, Any], catalogue: Catalogue | None) -> Supply:
    """Return the supply; phases that are not stated are those of its system."""
    members = {"phases": phases_of(own), **own}
    if "source" in own:
        members["source"] = replace(own["source"], frequency=frequency_of(own))
    if "upstream_protection" in own:
        members["upstream_protection"] = upstream_component(own, catalogue)
    return Supply(**members)
