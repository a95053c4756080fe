"""What a circuit requires of its device, as figures: each a current with its clause and how it came about."""

from dataclasses import dataclass
from typing import Any

from sccr.result import Finding
from sccr.units import MilliAmperes
from sccr.units import amperes
from sccr.units import current_text
from sccr.units import scaled

#: The types of device that NEC Table 430.52 tells apart, and the controller that it does not limit.
BREAKER = "inverse_time_breaker"
TIME_DELAY_FUSE = "time_delay_fuse"
NON_TIME_DELAY_FUSE = "non_time_delay_fuse"
SELF_PROTECTED = "self_protected_controller"
TYPES = (BREAKER, TIME_DELAY_FUSE, NON_TIME_DELAY_FUSE, SELF_PROTECTED)


@dataclass(frozen=True, slots=True)
class Figure:
    """A current [mA] that was sized, the clause that it is by, and the arithmetic in words."""

    current: MilliAmperes
    clause: str
    statement: str

    def as_dict(self) -> dict[str, Any]:
        """Return the figure with its current twice: to read, and in amperes to compute with."""
        return {**current_fields(self.current), "clause": self.clause, "statement": self.statement}


@dataclass(frozen=True, slots=True)
class Span:
    """The ampere ratings that a type of device may have in the circuit.

    exceptional: how far a motor that does not start may have it raised; told, and not used in the choice.
    """

    device: str
    minimum: Figure
    maximum: Figure
    exceptional: Figure | None = None

    def as_dict(self) -> dict[str, Any]:
        """Return the span as a mapping for JSON."""
        fields = {"device": self.device, "minimum": self.minimum.as_dict(), "maximum": self.maximum.as_dict()}
        return {**fields, "exceptional": self.exceptional.as_dict()} if self.exceptional else fields


@dataclass(frozen=True, slots=True)
class Sizing:
    """What a load by itself asks for. `spans` is empty where the load's current cannot be told."""

    full_load: Figure | None = None
    spans: tuple[Span, ...] = ()
    overload: Figure | None = None
    inrush: Figure | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Requirement:
    """The sized numbers of a circuit.

    interrupting: the current [mA] that the device must interrupt at the circuit's voltage: the higher of the
    available fault current and the target; None where neither is stated. inrush: rms of the first crest.
    """

    full_load: Figure | None
    spans: tuple[Span, ...]
    overload: Figure | None
    inrush: Figure | None
    interrupting: Figure | None
    poles: int
    circuit: str

    def span(self, device: str) -> Span | None:
        """Return the ampere ratings that a type of device may have."""
        return next((span for span in self.spans if span.device == device), None)

    def as_dict(self) -> dict[str, Any]:
        """Return the requirement as a mapping for JSON; what does not apply is null."""
        figures = {
            "full_load_current": self.full_load,
            "overload": self.overload,
            "inrush": self.inrush,
            "interrupting_rating": self.interrupting,
        }
        return {
            "circuit": self.circuit,
            "poles": self.poles,
            **{name: figure.as_dict() if figure else None for name, figure in figures.items()},
            "ampere_ratings": [span.as_dict() for span in self.spans],
        }


def current_fields(current: MilliAmperes) -> dict[str, Any]:
    """Return a current [mA] as the contract gives it: to read, and in amperes."""
    return {"current": current_text(current), "current_amperes": amperes(current)}


def amps(current: MilliAmperes) -> str:
    """Return a sized current [mA] in amperes, as it stands in a calculation: '13.3 A'."""
    return f"{scaled(current, 1_000)} A"


def warning(code: str, clause: str, message: str) -> Finding:
    """Return what the engineer must look at."""
    return Finding("warning", code, None, clause, message)


def note(code: str, clause: str, message: str) -> Finding:
    """Return what the engineer should know."""
    return Finding("note", code, None, clause, message)


def error(code: str, clause: str, message: str) -> Finding:
    """Return what keeps the circuit from being sized."""
    return Finding("error", code, None, clause, message)
