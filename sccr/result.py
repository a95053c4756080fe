"""The rating of a panel, whatever the standard: the fields of the contract, as frozen records that become JSON.

Records that a panel has by the hundred are named tuples: a frozen dataclass takes five times as long to make.
"""

from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from typing import Final
from typing import NamedTuple

from sccr.adequacy import Adequacy
from sccr.adequacy import AvailableFaultCurrent
from sccr.deferred import Deferred
from sccr.rated_current import RatedCurrent
from sccr.units import MilliAmperes
from sccr.units import shared_current_fields

#: How much of the derivation is written: all of it, the steps that the marking rests on, or nothing.
FULL: Final = "full"
SHORT: Final = "short"
NONE: Final = "none"
EXTENTS: Final = (FULL, SHORT, NONE)


class LimitedBy(NamedTuple):
    """A component that holds the rating down."""

    component: str
    clause: str
    reason: str

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {"component": self.component, "clause": self.clause, "reason": self.reason}


@dataclass(frozen=True, slots=True)
class NextLimit:
    """What the rating becomes once everything before it in the list is lifted, and what holds it there."""

    rating: RatedCurrent
    limited_by: tuple[LimitedBy, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {"rating": self.rating.as_dict(), "limited_by": [limit.as_dict() for limit in self.limited_by]}


class Step(NamedTuple):
    """One step of the derivation: what was decided of what, by which clause, from what, before and after [mA]."""

    number: int
    clause: str
    component: str | None
    statement: str
    before: MilliAmperes | None
    after: MilliAmperes | None
    basis: str

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        number, clause, component, statement, before, after, basis = self
        return {
            "number": number,
            "clause": clause,
            "component": component,
            "statement": statement,
            "before": None if before is None else shared_current_fields(before).copy(),
            "after": None if after is None else shared_current_fields(after).copy(),
            "basis": basis,
        }


class Circuit(NamedTuple):
    """A feeder, branch or control circuit: its protective device, its components and its own rating."""

    id: str
    type: str
    protective_device: str | None
    components: tuple[str, ...]
    voltage: str
    rating: MilliAmperes | None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        identifier, kind, device, components, voltage, rating = self
        return {
            "id": identifier,
            "type": kind,
            "protective_device": device,
            "components": list(components),
            "voltage": voltage,
            "rating": None if rating is None else shared_current_fields(rating).copy(),
        }


class ComponentValue(NamedTuple):
    """What one component is worth before and after credit [mA], its role, and what the value was taken from."""

    id: str
    kind: str
    role: str
    voltage: str
    value: MilliAmperes | None
    after: MilliAmperes | None
    basis: str
    because: str
    sources: Mapping[str, str]

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        identifier, kind, role, voltage, value, after, basis, because, sources = self
        return {
            "id": identifier,
            "kind": kind,
            "role": role,
            "voltage": voltage,
            "value": None if value is None else shared_current_fields(value).copy(),
            "after_credit": None if after is None else shared_current_fields(after).copy(),
            "basis": basis,
            "because": because,
            "sources": dict(sources) if sources else {},
        }


class Finding(NamedTuple):
    """What the engineer must see: an error withholds the rating, a warning or note does not."""

    severity: str
    code: str
    component: str | None
    clause: str
    message: str

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "severity": self.severity,
            "code": self.code,
            "component": self.component,
            "clause": self.clause,
            "message": self.message,
        }


@dataclass(frozen=True, slots=True)
class Condition:
    """What must hold in the field for the rating to be true."""

    code: str
    component: str | None
    text: str

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {"code": self.code, "component": self.component, "text": self.text}


@dataclass(frozen=True, slots=True)
class SupplyResult:
    """The rating of what one supply feeds, and the current available there, None where it is not known."""

    id: str
    rating: RatedCurrent | None
    limited_by: tuple[LimitedBy, ...]
    available: AvailableFaultCurrent | None = None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "id": self.id,
            "rating": None if self.rating is None else self.rating.as_dict(),
            "limited_by": [limit.as_dict() for limit in self.limited_by],
            "available_fault_current": None if self.available is None else self.available.as_dict(),
        }


@dataclass(frozen=True, slots=True)
class Method:
    """By what the rating was made: the same document and method give the same rating, byte for byte."""

    standard: str
    edition: str
    engine_version: str
    tables_digest: str
    catalogue_digest: str | None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "standard": self.standard,
            "edition": self.edition,
            "engine_version": self.engine_version,
            "tables_digest": self.tables_digest,
            "catalogue_digest": self.catalogue_digest,
        }


@dataclass(frozen=True, slots=True)
class Rating(Deferred):
    """The rating of a panel document. `rating` is None where `status` is 'withheld'.

    A rule set may leave the records that explain it to be made when they are first read.
    """

    status: str
    rating: RatedCurrent | None
    limited_by: tuple[LimitedBy, ...]
    next_limits: tuple[NextLimit, ...]
    adequacy: Adequacy
    supplies: tuple[SupplyResult, ...]
    circuits: tuple[Circuit, ...]
    components: tuple[ComponentValue, ...]
    findings: tuple[Finding, ...]
    conditions: tuple[Condition, ...]
    derivation: tuple[Step, ...]
    options: Mapping[str, bool | int]
    method: Method
    document_digest: str
    panel: Mapping[str, str]

    def steps(self, derivation: str = FULL) -> tuple[Step, ...]:
        """Return the derivation "full", "short" or as "none"; short steps keep their numbers.

        Short are the steps that the marking rests on: those of the components and circuits that limit it (of a
        withheld rating: that withhold it), of the transformers that carry it to the line side, and of the panel as a
        whole. Raises ValueError for another word.
        """
        if derivation not in EXTENTS:
            raise ValueError(f"derivation is full, short or none, not {derivation!r}")
        if derivation == FULL:
            return self.derivation
        return () if derivation == NONE else tuple(self._short())

    def _short(self) -> Iterator[Step]:
        names = {limit.component for limit in self.limited_by}
        names |= {f.component for f in self.findings if f.severity == "error" and f.component is not None}
        names |= {circuit.id for circuit in self.circuits if not names.isdisjoint(circuit.components)}
        marked = None if self.rating is None else self.rating.current
        for step in self.derivation:
            carries = step.basis == "transformer" and marked is not None and step.after == marked
            if step.component is None or step.component in names or carries:
                yield step

    def as_dict(self, derivation: str = FULL) -> dict[str, Any]:
        """Return the rating as the contract has it, ready for JSON, with its derivation as `steps` gives it.

        `derivation_extent` says where the derivation is not all of it. Raises ValueError for an unknown extent.
        """
        steps = self.steps(derivation)
        return {
            "format": "rating/1",
            "status": self.status,
            "panel": dict(self.panel),
            "rating": None if self.rating is None else self.rating.as_dict(),
            "limited_by": [limit.as_dict() for limit in self.limited_by],
            "next_limits": [limit.as_dict() for limit in self.next_limits],
            "adequacy": self.adequacy.as_dict(),
            "supplies": [supply.as_dict() for supply in self.supplies],
            "circuits": [circuit.as_dict() for circuit in self.circuits],
            "components": [component.as_dict() for component in self.components],
            "findings": [finding.as_dict() for finding in self.findings],
            "conditions": [condition.as_dict() for condition in self.conditions],
            **({} if derivation == FULL else {"derivation_extent": derivation}),
            "derivation": [step.as_dict() for step in steps],
            "options": dict(self.options),
            "method": self.method.as_dict(),
            "document_digest": self.document_digest,
        }
