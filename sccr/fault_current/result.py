"""The fault current at the terminals of a panel and at every node on the way, as frozen records that become JSON."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from sccr.units import MilliAmperes
from sccr.units import current_fields
from sccr.units import current_text


class FaultKind(StrEnum):
    """Between what a bolted fault is."""

    THREE_PHASE = "three_phase"
    LINE_LINE = "line_line"
    LINE_NEUTRAL = "line_neutral"
    LINE_GROUND = "line_ground"

    @property
    def text(self) -> str:
        """Return the kind as it is said, such as 'line-to-ground'."""
        return _TEXTS[self]


_TEXTS = {
    FaultKind.THREE_PHASE: "three-phase",
    FaultKind.LINE_LINE: "line-to-line",
    FaultKind.LINE_NEUTRAL: "line-to-neutral",
    FaultKind.LINE_GROUND: "line-to-ground",
}


@dataclass(frozen=True, slots=True)
class FaultValue:
    """The currents of one kind of fault, in whole amperes [mA], and X/R of its loop, None without resistance.

    symmetrical: rms; peak: of the first loop by κ of IEC 60909-0; peak_ieee_551: the same by IEEE 551; asymmetrical:
    rms, half a cycle after the fault.
    """

    kind: FaultKind
    symmetrical: MilliAmperes
    x_over_r: float | None
    peak: MilliAmperes
    peak_ieee_551: MilliAmperes
    asymmetrical: MilliAmperes

    def as_dict(self) -> dict[str, Any]:
        """Return the value for an answer in JSON: each current says of what kind it is."""
        return {
            "fault": self.kind.value,
            "rms_symmetrical": current_fields(self.symmetrical),
            "x_over_r": self.x_over_r,
            "peak": current_fields(self.peak),
            "peak_ieee_551": current_fields(self.peak_ieee_551),
            "rms_asymmetrical": current_fields(self.asymmetrical),
        }


@dataclass(frozen=True, slots=True)
class NodeResult:
    """The fault currents at a node: behind what it stands, its nominal voltage [V], the most and the least that flows.

    point_to_point: the scalar cross-check of the maximum [mA], without motors; None at an infinite bus.
    minimum: empty where the source is an infinite bus, of which there is no minimum.
    """

    bus: str
    behind: str
    voltage: str
    volts: float
    phases: int
    system: str
    maximum: tuple[FaultValue, ...]
    minimum: tuple[FaultValue, ...]
    point_to_point: MilliAmperes | None

    @property
    def highest(self) -> FaultValue | None:
        """Return the fault that draws the most, whatever its kind; None at an infinite bus."""
        return max(self.maximum, key=lambda value: value.symmetrical, default=None)

    @property
    def lowest(self) -> FaultValue | None:
        """Return the fault that draws the least."""
        return min(self.minimum, key=lambda value: value.symmetrical, default=None)

    def of(self, kind: FaultKind) -> FaultValue | None:
        """Return the maximum of one kind of fault, or None where there is no such fault."""
        return next((value for value in self.maximum if value.kind is kind), None)

    def as_dict(self) -> dict[str, Any]:
        """Return the node for an answer in JSON."""
        scalar = self.point_to_point
        return {
            "bus": self.bus,
            "behind": self.behind,
            "voltage": self.voltage,
            "phases": self.phases,
            "system": self.system,
            "maximum": [value.as_dict() for value in self.maximum],
            "minimum": [value.as_dict() for value in self.minimum],
            "point_to_point": None if scalar is None else current_fields(scalar),
        }


@dataclass(frozen=True, slots=True)
class Finding:
    """What the engineer must see: an error withholds the available current, a warning or note does not.

    element: what it is about, such as 'transformer 1'; None for the whole.
    """

    severity: str
    code: str
    element: str | None
    message: str

    def as_dict(self) -> dict[str, Any]:
        """Return the finding for an answer in JSON."""
        return {"severity": self.severity, "code": self.code, "element": self.element, "message": self.message}


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the derivation: what was taken of what, and the impedance or current that it gives."""

    number: int
    element: str
    statement: str
    reference: str

    def as_dict(self) -> dict[str, Any]:
        """Return the line for an answer in JSON."""
        return {
            "number": self.number,
            "element": self.element,
            "statement": self.statement,
            "reference": self.reference,
        }


@dataclass(frozen=True, slots=True)
class StateResult:
    """The fault currents in one state of what is upstream, node by node, the supply terminals last."""

    name: str
    nodes: tuple[NodeResult, ...]
    findings: tuple[Finding, ...]
    derivation: tuple[Line, ...]

    @property
    def terminals(self) -> NodeResult:
        """Return the supply terminals."""
        return self.nodes[-1]

    def as_dict(self) -> dict[str, Any]:
        """Return the state for an answer in JSON."""
        return {
            "name": self.name,
            "nodes": [node.as_dict() for node in self.nodes],
            "findings": [finding.as_dict() for finding in self.findings],
            "derivation": [line.as_dict() for line in self.derivation],
        }


@dataclass(frozen=True, slots=True)
class FaultCurrent:
    """The available fault current of a site: the highest that any state and any kind of fault brings.

    available: rounded up to whole amperes [mA rms symmetrical]; None where an error finding makes it unsafe to use.
    least: the lowest of all kinds and states, rounded down [mA]; None where it is not known, as of an infinite bus.
    """

    method: str
    frequency: str
    states: tuple[StateResult, ...]
    governing: StateResult
    available: MilliAmperes | None
    least: MilliAmperes | None
    general_findings: tuple[Finding, ...]
    tables_digest: str
    engine_version: str
    title: str | None = None
    document_digest: str | None = None

    @property
    def nodes(self) -> tuple[NodeResult, ...]:
        """Return the nodes of the state that governs."""
        return self.governing.nodes

    @property
    def terminals(self) -> NodeResult:
        """Return the supply terminals in the state that governs."""
        return self.governing.terminals

    @property
    def derivation(self) -> tuple[Line, ...]:
        """Return how the current came about, in the state that governs."""
        return self.governing.derivation

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return the findings of the site and of every state; a state is named where there are several."""
        return (*self.general_findings, *self._findings_of_states())

    def _findings_of_states(self) -> Iterator[Finding]:
        for state in self.states:
            prefix = f"{state.name}: " if len(self.states) > 1 else ""
            for each in state.findings:
                yield Finding(each.severity, each.code, each.element, prefix + each.message)

    @property
    def text(self) -> str:
        """Return the result in one line."""
        if self.available is None:
            return "available fault current not established: see the findings"
        return f"{current_text(self.available)} rms symmetrical at {self.terminals.voltage}"

    def as_dict(self) -> dict[str, Any]:
        """Return the result for an answer in JSON."""
        highest = self.terminals.highest
        return {
            "available_fault_current": None if self.available is None else current_fields(self.available),
            "fault": None if highest is None or self.available is None else highest.kind.value,
            "x_over_r": None if highest is None else highest.x_over_r,
            "minimum_fault_current": None if self.least is None else current_fields(self.least),
            "voltage": self.terminals.voltage,
            "text": self.text,
            "title": self.title,
            "governing_state": self.governing.name,
            "nodes": [node.as_dict() for node in self.nodes],
            "findings": [finding.as_dict() for finding in self.findings],
            "derivation": [line.as_dict() for line in self.derivation],
            "states": [state.as_dict() for state in self.states] if len(self.states) > 1 else [],
            "method": {
                "method": self.method,
                "frequency": self.frequency,
                "engine_version": self.engine_version,
                "tables_digest": self.tables_digest,
            },
            "document_digest": self.document_digest,
        }
