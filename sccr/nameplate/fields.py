"""The fields of a nameplate (method, section 9; NEC 409.110, 409.22(B), 670.3, 670.5)."""

from dataclasses import dataclass
from typing import Any

from sccr.editions import DEFAULT_EDITION
from sccr.nameplate.marking import Marking
from sccr.nameplate.marking import marking
from sccr.nameplate.record import RecordReference
from sccr.rated_current import RatedCurrent
from sccr.report.cautions import CAUTIONS
from sccr.result import Condition
from sccr.units import MilliAmperes
from sccr.units import ampere_rating_text
from sccr.units import amperes
from sccr.units import current_fields


def _ampere_fields(name: str, rating: MilliAmperes | None) -> dict[str, Any]:
    """Return an ampere rating or a full-load current [mA] twice, to read and to compute with [A]."""
    return {
        name: None if rating is None else ampere_rating_text(rating),
        f"{name}_amperes": None if rating is None else amperes(rating),
    }


@dataclass(frozen=True, slots=True)
class ProtectiveDevice:
    """The overcurrent protective device of a supply: its type, class, part and maximum ampere rating [mA]."""

    id: str
    device: str  # as it is named: 'circuit breaker', 'class J fuse'
    in_field: bool
    part: str | None = None
    ampere_rating: MilliAmperes | None = None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "component": self.id,
            "device": self.device,
            "location": "field" if self.in_field else "panel",
            "part": self.part,
            **_ampere_fields("max_ampere_rating", self.ampere_rating),
        }


@dataclass(frozen=True, slots=True)
class SupplyFields:
    """What is marked of one supply; `None` is what the document does not state. A direct supply has no phases.

    protective_device: the one ahead of all that the supply feeds; required_protection: the one outside of the panel
    that the rating rests on.
    """

    id: str
    voltage: str
    direct: bool
    phases: int | None
    frequency: str | None
    full_load_current: MilliAmperes | None
    rating: RatedCurrent | None
    protective_device: ProtectiveDevice | None
    required_protection: ProtectiveDevice | None
    available_fault_current: MilliAmperes | None
    available_fault_current_date: str | None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        device, required, available = self.protective_device, self.required_protection, self.available_fault_current
        return {
            "id": self.id,
            "voltage": self.voltage,
            "phases": self.phases,
            "frequency": self.frequency,
            **_ampere_fields("full_load_current", self.full_load_current),
            "rating": None if self.rating is None else self.rating.as_dict(),
            "protective_device": None if device is None else device.as_dict(),
            "required_upstream_protection": None if required is None else required.as_dict(),
            "available_fault_current": None if available is None else current_fields(available),
            "available_fault_current_date": self.available_fault_current_date,
        }


@dataclass(frozen=True, slots=True)
class LargestLoad:
    """The motor or load of the largest full-load current [mA]."""

    id: str
    kind: str
    full_load_current: MilliAmperes

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "component": self.id,
            "kind": self.kind,
            **_ampere_fields("full_load_current", self.full_load_current),
        }


@dataclass(frozen=True, slots=True)
class Identity:
    """Who made which panel, after which diagram, in what enclosure: as the document has it."""

    designation: str
    maker: str | None = None
    title: str | None = None
    revision: str | None = None
    order: str | None = None
    serial: str | None = None
    diagram_number: str | None = None
    enclosure_type: str | None = None


@dataclass(frozen=True, slots=True)
class Nameplate:
    """The nameplate of a rated and adequate panel.

    disconnects: the disconnecting means nearest to the supplies; missing: the fields that the document does not
    state, each by its JSON Pointer (RFC 6901) into `as_dict()`, where it is null. edition: that of the rating;
    cautions: those of its standard, beside those of every rating.
    """

    identity: Identity
    rating: RatedCurrent
    supplies: tuple[SupplyFields, ...]
    largest_load: LargestLoad | None
    loads_without_current: tuple[str, ...]
    more_than_one_disconnect: bool
    disconnects: tuple[str, ...]
    conditions: tuple[Condition, ...]
    missing: tuple[str, ...]
    record: RecordReference | None = None
    edition: str = DEFAULT_EDITION
    cautions: tuple[str, ...] = ()

    @property
    def marking(self) -> Marking:
        """Return what the edition that the panel is rated by asks of its nameplate."""
        return marking(self.edition)

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract, ready for JSON."""
        identity = self.identity
        return {
            "format": "nameplate/1",
            "maker": identity.maker,
            "designation": identity.designation,
            "title": identity.title,
            "revision": identity.revision,
            "order": identity.order,
            "serial": identity.serial,
            "diagram_number": identity.diagram_number,
            "enclosure_type": identity.enclosure_type,
            "rating": self.rating.as_dict(),
            "supplies": [supply.as_dict() for supply in self.supplies],
            "largest_load": None if self.largest_load is None else self.largest_load.as_dict(),
            "loads_without_current": list(self.loads_without_current),
            "more_than_one_disconnect": self.more_than_one_disconnect,
            "disconnects": list(self.disconnects),
            "conditions": [condition.as_dict() for condition in self.conditions],
            "missing": list(self.missing),
            "record": None if self.record is None else self.record.as_dict(),
            "cautions": [*CAUTIONS, *self.cautions],
            **self._by_clauses(),
        }

    def _by_clauses(self) -> dict[str, Any]:
        """Return the edition with what it asks for, by clause; nothing where the standard is tacit."""
        asked = self.marking
        if asked.tacit:
            return {}
        unstated = {"date_of_manufacture": None} if asked.has("date_of_manufacture") else {}
        return {"edition": self.edition, **unstated, "markings": [item.as_dict() for item in asked.items.values()]}
