"""Sites for tests, drawn in a line or two each."""

from typing import Any

from sccr.fault_current import FaultCurrent
from sccr.fault_current import fault_current
from sccr.fault_current.result import FaultKind
from sccr.schema.site import load_site

Document = dict[str, Any]


def utility(available: str = "infinite", voltage: str = "13.8 kV", **more: Any) -> Document:
    return {"available": available, "voltage": voltage, **more}


def transformer(**changed: Any) -> Document:
    """1000 kVA, 13.8 kV to 480Y/277 V, 5.75 %, X/R 6, without tolerance, or as changed; None leaves a field out."""
    usual = {
        "kva": "1000 kVA",
        "primary": "13.8 kV",
        "secondary": "480Y/277 V",
        "impedance": "5.75 %",
        "impedance_tolerance": "0 %",
        "x_over_r": 6,
    }
    return {"transformer": {name: value for name, value in {**usual, **changed}.items() if value is not None}}


def conductor(size: str, length: str, **more: Any) -> Document:
    return {"conductor": {"size": size, "material": "copper", "conduit": "steel", "length": length, **more}}


def impedance(length: str, resistance: str, reactance: str, sets: int = 1) -> Document:
    """A run of stated impedance, at whatever temperature it is stated for."""
    stated = {"resistance": f"{resistance} ohm/km", "reactance": f"{reactance} ohm/km"}
    at = {"resistance_temperature": "25 °C", "temperature": "25 °C", "material": "copper"}
    return {"conductor": {"length": length, "sets": sets, **stated, **at}}


def motors(**what: Any) -> Document:
    return {"motors": what}


def site(source: Document, *elements: Document, **more: Any) -> Document:
    return {"format": "site/1", "utility": source, "elements": list(elements), **more}


def calculated(document: Document) -> FaultCurrent:
    return fault_current(load_site(document))


def amperes(result: FaultCurrent, node: int = -1, kind: FaultKind = FaultKind.THREE_PHASE) -> int:
    """The maximum of a node, in whole amperes."""
    value = result.nodes[node].of(kind)
    assert value is not None
    return value.symmetrical // 1000


def codes(result: FaultCurrent) -> set[str]:
    return {finding.code for finding in result.findings}
