"""What a check looks at, and what it finds."""

from dataclasses import dataclass
from typing import Any

from sccr.panel.feeds import Feed
from sccr.selection.circuit import Circuit
from sccr.selection.circuit import narrowed
from sccr.selection.device import Device
from sccr.selection.practice import Practice
from sccr.selection.practice import practice
from sccr.selection.requirement import Requirement


@dataclass(frozen=True, slots=True)
class Case:
    """A device in a circuit."""

    circuit: Circuit
    requirement: Requirement
    device: Device

    @property
    def practice(self) -> Practice:
        """Return the practice of the edition that the circuit is chosen for by."""
        return practice(self.circuit.edition)

    @property
    def feed(self) -> Feed:
        """Return what the device is judged at: a single pole marked for line-to-line, at that voltage."""
        poles = self.requirement.poles
        return narrowed(self.circuit.system_feed, poles, self.device.line_to_line and not self.device.is_fuse)


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a device passes a check, by which clause, and why. `open`: what the catalogue leaves unsaid."""

    passed: bool
    clause: str
    statement: str
    open: str | None = None

    def as_dict(self, check: str) -> dict[str, Any]:
        """Return the verdict of a check as a mapping for JSON."""
        fields = {"check": check, "clause": self.clause, "statement": self.statement}
        return {**fields, "not_stated": self.open} if self.open else fields


def passes(clause: str, statement: str, left_open: str | None = None) -> Verdict:
    """Return the verdict of a device that passes."""
    return Verdict(True, clause, statement, left_open)


def fails(clause: str, statement: str) -> Verdict:
    """Return the verdict of a device that does not."""
    return Verdict(False, clause, statement)
