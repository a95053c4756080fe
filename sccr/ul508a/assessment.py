"""The clauses in their order: SB4.2 values, SB4.3 adjustments, SB4.4 the lowest. One walk, no wording."""

from collections.abc import Iterator
from dataclasses import dataclass

from sccr.ul508a.rules.sb4_2_component_values import component_values
from sccr.ul508a.rules.sb4_2_component_values import values_with_lifted
from sccr.ul508a.rules.sb4_2_scope import Scope
from sccr.ul508a.rules.sb4_2_scope import scope
from sccr.ul508a.rules.sb4_3_1_transformers import TransformerResult
from sccr.ul508a.rules.sb4_3_1_transformers import transformer_results
from sccr.ul508a.rules.sb4_3_branch_credits import Branch
from sccr.ul508a.rules.sb4_3_branch_credits import BranchCredit
from sccr.ul508a.rules.sb4_3_branch_credits import Credited
from sccr.ul508a.rules.sb4_3_branch_credits import branch_credits
from sccr.ul508a.rules.sb4_3_branch_credits import branches
from sccr.ul508a.rules.sb4_3_branch_credits import credited_values
from sccr.ul508a.rules.sb4_3_branch_credits import gives_credit
from sccr.ul508a.rules.sb4_3_branch_credits import memberships
from sccr.ul508a.rules.sb4_3_branch_credits import profiles
from sccr.ul508a.rules.sb4_3_let_through import Profile
from sccr.ul508a.rules.sb4_4_panel_rating import SupplyRating
from sccr.ul508a.rules.sb4_4_panel_rating import supply_ratings
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import UNLIMITED

#: Steps of the staircase that are worked out; beyond it a note says so. Each step re-rates the whole panel.
LONGEST_STAIRCASE = 40


@dataclass(frozen=True, slots=True)
class Assessment:
    """What the clauses conclude for a panel, each conclusion with what it rests on."""

    case: Subject
    scope: Scope
    values: dict[str, Value]
    transformers: dict[str, TransformerResult]
    branches: dict[str, Branch]
    profiles: dict[str, Profile]
    credits: dict[str, BranchCredit]
    after: dict[str, Credited]
    supplies: tuple[SupplyRating, ...]
    memberships: dict[str, tuple[str, ...]]

    def attempts(self, name: str) -> list[BranchCredit]:
        """Return the credits that were tried for the branches of a component."""
        return [self.credits[device] for device in self.memberships.get(name, ()) if device in self.credits]

    @property
    def headline(self) -> SupplyRating:
        """The lowest rating among the supplies; its limits name the ties on every supply."""
        current = min(rating.current for rating in self.supplies)
        lowest = [rating for rating in self.supplies if rating.current == current]
        limits = {limit.component: limit for rating in lowest for limit in rating.limits}
        return SupplyRating(lowest[0].supply, current, tuple(limits.values()))


def assess(case: Subject) -> Assessment:
    """Return what the clauses conclude for a panel as it stands."""
    counted = scope(case)
    values = component_values(case, counted)
    found = branches(case, counted)
    members = memberships(found)
    at = profiles(case, values)
    credits = branch_credits(case, found, values, at)
    after = credited_values(case, counted.counted, values, members, credits, at)
    transformers = transformer_results(case, counted, values)
    supplies = supply_ratings(case, counted, values, after, transformers)
    return Assessment(case, counted, values, transformers, found, at, credits, after, supplies, members)


def staircase(first: Assessment) -> Iterator[Assessment]:
    """Yield the panel re-rated with each limit lifted in turn, up to the top or the longest staircase."""
    lifted: frozenset[str] = frozenset()
    now = first
    for _ in range(LONGEST_STAIRCASE):
        newly = frozenset(limit.component for limit in now.headline.limits)
        lifted |= newly
        now = _reassessed(now, lifted, newly)
        if now.headline.current >= UNLIMITED:
            return
        yield now


def _reassessed(now: Assessment, lifted: frozenset[str], newly: frozenset[str]) -> Assessment:
    """Return the panel re-rated with more components lifted, by the same clauses, where something can have moved."""
    case = now.case
    values, touched = values_with_lifted(case, now.scope, now.values, lifted, newly)
    at, credits, after = now.profiles, now.credits, now.after
    if any(gives_credit(case, name) for name in touched):
        at = profiles(case, values)
        credits = branch_credits(case, now.branches, values, at)
        after = credited_values(case, now.scope.counted, values, now.memberships, credits, at)
    else:
        devices = {device for name in touched for device in now.memberships.get(name, ())}
        moved = {device: now.branches[device] for device in devices}
        credits = {**credits, **branch_credits(case, moved, values, at)}
        parts = frozenset(name for branch in moved.values() for name in branch.withstand) | touched
        renewed = credited_values(case, parts & now.scope.counted, values, now.memberships, credits, at)
        after = {**after, **renewed}
    transformers = transformer_results(case, now.scope, values) if now.transformers else now.transformers
    supplies = supply_ratings(case, now.scope, values, after, transformers)
    return Assessment(
        case, now.scope, values, transformers, now.branches, at, credits, after, supplies, now.memberships
    )
