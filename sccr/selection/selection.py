"""What a choice comes to: the requirement, the devices that suit, best first, and the near misses."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sccr.result import Finding
from sccr.selection.device import Device
from sccr.selection.requirement import Requirement
from sccr.selection.requirement import current_fields
from sccr.selection.verdict import Verdict
from sccr.units import MilliAmperes
from sccr.units import ampere_rating_text
from sccr.units import amperes


@dataclass(frozen=True, slots=True)
class Suitable:
    """A device that suits, with the verdict of every check.

    interrupting: its rating [mA] at the circuit's voltage; margin: that above what is asked, None where nothing is.
    """

    device: Device
    quantity: int
    interrupting: MilliAmperes
    interrupting_voltage: str
    margin: MilliAmperes | None
    why: tuple[tuple[str, Verdict], ...]

    @property
    def price(self) -> Decimal | None:
        """Return the price of all that the circuit takes of it, where the catalogue has one."""
        return None if self.device.price is None else self.device.price * self.quantity

    @property
    def rank(self) -> tuple[Any, ...]:
        """Return the key of the order: smallest ampere rating, greatest margin, lowest price, part number."""
        price = self.price
        margin = self.interrupting if self.margin is None else self.margin
        return (self.device.amperes or 0, -margin, price is None, price or Decimal(0), self.device.part)

    def as_dict(self) -> dict[str, Any]:
        """Return the device and why it suits as a mapping for JSON."""
        rating = {**current_fields(self.interrupting), "voltage": self.interrupting_voltage}
        return {
            **_identity(self.device),
            "quantity": self.quantity,
            "interrupting_rating": rating,
            "margin": None if self.margin is None else current_fields(self.margin),
            "price": None if self.price is None else str(self.price),
            "stock": self.device.stock,
            "why": [verdict.as_dict(name) for name, verdict in self.why],
        }


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A device that does not suit, and the first check in the fixed order that says so. `passed`: those before it."""

    device: Device
    check: str
    verdict: Verdict
    passed: int

    def as_dict(self) -> dict[str, Any]:
        """Return the device and the reason against it as a mapping for JSON."""
        return {**_identity(self.device), "against": self.verdict.as_dict(self.check)}


def _identity(device: Device) -> dict[str, Any]:
    rating = device.amperes
    return {
        "part": device.part,
        "description": device.description,
        "kind": device.kind.name,
        "poles": device.poles,
        "ampere_rating": None if rating is None else ampere_rating_text(rating),
        "ampere_rating_amperes": None if rating is None else amperes(rating),
        "fuse_class": device.fuse_class,
        "trip_curve": device.trip_curve,
    }


@dataclass(frozen=True, slots=True)
class Selection:
    """The choice for a circuit. `suitable` and `near_misses` may be cut short; the counts are of all.

    edition: that of the choice, where it is not by UL 508A.
    """

    designation: str | None
    requirement: Requirement
    suitable: tuple[Suitable, ...]
    near_misses: tuple[NearMiss, ...]
    suitable_count: int
    near_miss_count: int
    findings: tuple[Finding, ...]
    tables_digest: str
    catalogue_digest: str
    edition: str | None = None

    @property
    def sized(self) -> bool:
        """Whether the circuit could be sized; if not, a finding of severity error says what is missing."""
        return bool(self.requirement.spans)

    def as_dict(self) -> dict[str, Any]:
        """Return the choice as a mapping for JSON."""
        return {
            "format": "selection/1",
            "designation": self.designation,
            "status": "sized" if self.sized else "not_sized",
            "requirement": self.requirement.as_dict(),
            "suitable": [each.as_dict() for each in self.suitable],
            "near_misses": [each.as_dict() for each in self.near_misses],
            "counts": {"suitable": self.suitable_count, "near_misses": self.near_miss_count},
            "findings": [finding.as_dict() for finding in self.findings],
            "method": {
                "tables_digest": self.tables_digest,
                "catalogue_digest": self.catalogue_digest,
                **({} if self.edition is None else {"edition": self.edition}),
            },
        }
