"""Which circuit reaches each part: transformers start a new one, poles narrow it."""

from dataclasses import replace
from typing import Any

from tests.oracle.circuits import THREE_WIRE
from tests.oracle.circuits import WYE
from tests.oracle.circuits import Circuit
from tests.oracle.circuits import circuit_of
from tests.oracle.circuits import supply_circuit
from tests.oracle.drawing import Drawing
from tests.oracle.drawing import Step
from tests.oracle.drawing import once
from tests.oracle.quantities import volts

NARROWING_KINDS = {
    "circuit_breaker",
    "fuse",
    "fuseholder",
    "supplementary_protector",
    "disconnect_switch",
    "fused_disconnect_switch",
    "contactor",
    "motor_starter",
    "manual_motor_controller",
    "combination_motor_controller",
    "soft_starter",
    "switch",
}


@once
def arriving(drawing: Drawing, id: str) -> list[Circuit]:
    """The circuits on the line side, single-pole feeds of one supply put together."""
    whole: list[Circuit] = []
    singles: dict[str, list[Circuit]] = {}
    for feed in drawing.feeds[id]:
        for circuit in leaving(drawing, feed):
            if is_single_pole(drawing, feed.id):
                singles.setdefault(circuit.zone, []).append(circuit)
            else:
                whole.append(circuit)
    return whole + [c for group in singles.values() for c in _together(group)]


def _together(group: list[Circuit]) -> list[Circuit]:
    """Two single poles of one supply make a line-to-line circuit, three a three-phase one."""
    if len(group) == 1:
        return group
    return [replace(group[0], volts=group[0].line, conductors=min(len(group), 3))]


def is_single_pole(drawing: Drawing, id: str) -> bool:
    part = drawing.parts.get(id, {})
    return part.get("kind") in NARROWING_KINDS and part.get("poles") == 1


@once
def judged_at(drawing: Drawing, id: str) -> list[Circuit]:
    """The circuits in which the part's own ratings must serve."""
    return [_narrowed(drawing.parts[id], circuit) for circuit in arriving(drawing, id)]


def _narrowed(part: dict[str, Any], circuit: Circuit) -> Circuit:
    poles = part.get("poles")
    if part["kind"] not in NARROWING_KINDS or poles is None or poles >= circuit.conductors:
        return circuit
    if poles == 1 and circuit.has_neutral and not part.get("line_to_line"):
        assert circuit.ground is not None
        return replace(circuit, volts=circuit.ground, conductors=1)
    return replace(circuit, volts=circuit.line, conductors=poles)


@once
def leaving(drawing: Drawing, feed: Step) -> list[Circuit]:
    """The circuits on the load side of a supply or a part."""
    if feed.id in drawing.supplies:
        return [supply_circuit(drawing.supplies[feed.id])]
    kind = drawing.parts[feed.id]["kind"]
    if kind == "transformer":
        return [secondary(drawing, feed.id, feed.winding)]
    if kind in ("drive", "power_supply"):
        return [replace(circuit, conductors=3) for circuit in judged_at(drawing, feed.id)]
    return judged_at(drawing, feed.id)


def windings(drawing: Drawing, id: str) -> list[str]:
    """The voltages of a transformer's secondaries as written."""
    written = drawing.parts[id]["transformer"]["secondary"]
    return list(written) if isinstance(written, list) else [written]


def transformer_phases(drawing: Drawing, id: str) -> int:
    """Stated, else those of the circuit that feeds it."""
    part = drawing.parts[id]
    stated = part["transformer"].get("phases") or part.get("phases")
    fed = 3 if all(c.conductors == 3 for c in arriving(drawing, id)) else 1
    return int(stated or fed)


@once
def secondary(drawing: Drawing, id: str, winding: int) -> Circuit:
    """The circuit that a transformer winding starts."""
    written = volts(windings(drawing, id)[winding - 1])
    phases = transformer_phases(drawing, id)
    system = drawing.parts[id]["transformer"].get("secondary_system")
    if system is None and written.ground is not None:
        system = WYE if written.wye else THREE_WIRE
    elif system is None:
        system = "ungrounded_delta" if phases == 3 else "single_phase_two_wire"
    if system.startswith("single_phase"):
        phases = 1
    return circuit_of(f"{id}/{winding}", written, system, phases, None)
