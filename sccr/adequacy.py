"""The current available at each supply of a panel, and the rating held against it: records of the contract's fields."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from sccr.units import MilliAmperes
from sccr.units import amperes
from sccr.units import current_fields


class AvailableBasis(StrEnum):
    """Where an available fault current comes from."""

    GIVEN = "given"
    COMPUTED = "computed"


@dataclass(frozen=True, slots=True)
class AvailableFaultCurrent:
    """The fault current that counts at a supply [mA rms symmetrical], and where it comes from.

    stated: by the document; computed: from the supply's source. Of both the higher counts. date: of the calculation,
    ISO 8601. method, fault, x_over_r: of what was computed, None without a source; x_over_r is None without
    resistance, too. record: the calculation itself, to be filed (`fault-current-record/1`).
    """

    current: MilliAmperes
    basis: AvailableBasis
    date: str | None = None
    stated: MilliAmperes | None = None
    computed: MilliAmperes | None = None
    method: str | None = None
    fault: str | None = None
    x_over_r: float | None = None
    record: Mapping[str, Any] | None = None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            **current_fields(self.current),
            "basis": self.basis.value,
            "date": self.date,
            "stated": None if self.stated is None else current_fields(self.stated),
            "computed": None if self.computed is None else current_fields(self.computed),
            "method": self.method,
            "fault": self.fault,
            "x_over_r": self.x_over_r,
            "record": None if self.record is None else dict(self.record),
        }


@dataclass(frozen=True, slots=True)
class Comparison:
    """A rating against a current that it must cover [mA]: the available one of a supply, or the order's target.

    exceeded: devices whose interrupting rating does not cover the current once it is multiplied for an X/R above that
    of their test.
    """

    current: MilliAmperes
    rating: MilliAmperes | None
    basis: str
    supply: str | None = None
    exceeded: tuple[str, ...] = ()

    @property
    def adequate(self) -> bool:
        """Whether the rating covers the current; equality does. A withheld rating covers nothing."""
        return self.rating is not None and self.rating >= self.current and not self.exceeded

    @property
    def margin(self) -> MilliAmperes | None:
        """Return rating less current [mA]."""
        return None if self.rating is None else self.rating - self.current

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "supply": self.supply,
            **current_fields(self.current),
            "adequate": self.adequate,
            "margin_amperes": None if self.margin is None else amperes(self.margin),
            "exceeded": list(self.exceeded),
            "basis": self.basis,
        }


@dataclass(frozen=True, slots=True)
class Adequacy:
    """The comparisons with the available fault currents, the worst first in `as_dict`, and with the target."""

    supplies: tuple[Comparison, ...]
    target: Comparison | None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract; `adequate` is null where no available current is known."""
        worst = min(self.supplies, key=lambda c: (c.adequate, c.margin if c.margin is not None else 0), default=None)
        return {
            "adequate": None if worst is None else worst.adequate,
            "margin_amperes": None if worst is None or worst.margin is None else amperes(worst.margin),
            "available_fault_current": None if worst is None else worst.as_dict(),
            "supplies": [comparison.as_dict() for comparison in self.supplies],
            "target": None if self.target is None else self.target.as_dict(),
        }
