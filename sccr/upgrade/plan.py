"""What an upgrade plan says: the changes, what they cost, and the proof."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sccr.result import Rating
from sccr.units import MilliAmperes
from sccr.units import current_fields


@dataclass(frozen=True, slots=True)
class Change:
    """One change: a component, what is done to it, the part taken out and the part put in, and what it costs.

    quantity: how many of the part (a set of fuses takes several); price: of all of them.
    action: 'swap' for another part, 'add' for a feeder fuse and its holder that the panel does not have.
    """

    component: str
    action: str
    kind: str
    before: str | None
    after: str
    quantity: int
    price: Decimal | None
    labour_hours: Decimal
    on_hand: bool

    def as_dict(self) -> dict[str, Any]:
        """Return the change as JSON."""
        return {
            "component": self.component,
            "action": self.action,
            "kind": self.kind,
            "before": self.before,
            "after": self.after,
            "quantity": self.quantity,
            "price": None if self.price is None else f"{self.price:f}",
            "labour_hours": f"{self.labour_hours:f}",
            "on_hand": self.on_hand,
        }


@dataclass(frozen=True, slots=True)
class Plan:
    """A set of changes, with the changed document and its rating, which reaches the target."""

    changes: tuple[Change, ...]
    cost: Decimal
    document: Mapping[str, Any]
    rating: Rating

    @property
    def swaps(self) -> frozenset[tuple[str, str]]:
        """Return each place with the part that is put there."""
        return frozenset((change.component, change.after) for change in self.changes)

    def as_dict(self) -> dict[str, Any]:
        """Return the plan as JSON; the changed document is in it, ready to be rated or stored."""
        assert self.rating.rating is not None
        return {
            "changes": [change.as_dict() for change in self.changes],
            "cost": f"{self.cost:f}",
            "rating": self.rating.rating.as_dict(),
            "limited_by": [limit.as_dict() for limit in self.rating.limited_by],
            "document": dict(self.document),
        }


@dataclass(frozen=True, slots=True)
class Block:
    """A component that no plan can lift to the target, and what the catalogue lacks for it."""

    component: str
    reason: str

    def as_dict(self) -> dict[str, str]:
        """Return the block as JSON."""
        return {"component": self.component, "reason": self.reason}


@dataclass(frozen=True, slots=True)
class UpgradePlan:
    """The answer: the best plan and the next best, whether it is proved the cheapest, or what blocks the target.

    proved: no cheaper set of changes reaches the target, or none at all where there is no best; else the time was up,
    and `bound` is what any plan costs at least. blocked: the components, as few as may be, that cannot reach it.
    """

    target: MilliAmperes
    objective: str
    best: Plan | None
    alternatives: tuple[Plan, ...]
    proved: bool
    bound: Decimal | None
    blocked: tuple[Block, ...]

    @property
    def gap(self) -> Decimal | None:
        """Return by how much of its cost the best plan may be dearer than the least, from 0 (proved) to 1."""
        if self.best is None or self.bound is None:
            return None
        return (self.best.cost - self.bound) / self.best.cost if self.best.cost else Decimal(0)

    def as_dict(self) -> dict[str, Any]:
        """Return the answer as JSON."""
        return {
            "target": current_fields(self.target),
            "objective": self.objective,
            "best": None if self.best is None else self.best.as_dict(),
            "alternatives": [plan.as_dict() for plan in self.alternatives],
            "proved_optimal": self.proved,
            "lower_bound": None if self.bound is None else f"{self.bound:f}",
            "gap": None if self.gap is None else f"{self.gap:.4f}",
            "blocked": [block.as_dict() for block in self.blocked],
        }
