"""The clauses in their order: SB4.2 values, SB4.3 adjustments, SB4.4 the lowest. One walk, no wording."""

from dataclasses import dataclass

from sccr.ul508a.rules.sb4_2_component_values import component_values
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
from sccr.ul508a.rules.sb4_3_branch_credits import memberships
from sccr.ul508a.rules.sb4_3_branch_credits import profiles
from sccr.ul508a.rules.sb4_3_let_through import Profile
from sccr.ul508a.rules.sb4_4_panel_rating import Reaching
from sccr.ul508a.rules.sb4_4_panel_rating import SupplyRating
from sccr.ul508a.rules.sb4_4_panel_rating import lowest
from sccr.ul508a.rules.sb4_4_panel_rating import reaching
from sccr.ul508a.rules.sb4_4_panel_rating import supply_ratings
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value


@dataclass(frozen=True, slots=True)
class Assessment:
    """What the clauses conclude for a panel, each conclusion with what it rests on.

    headline: the lowest of the supplies, its limits those of every supply that ties for it.
    """

    case: Subject
    scope: Scope
    values: dict[str, Value]
    transformers: dict[str, TransformerResult]
    branches: dict[str, Branch]
    profiles: dict[str, Profile]
    credits: dict[str, BranchCredit]
    after: dict[str, Credited]
    reaching: Reaching
    supplies: tuple[SupplyRating, ...]
    headline: SupplyRating
    memberships: dict[str, tuple[str, ...]]

    def attempts(self, name: str) -> tuple[BranchCredit, ...]:
        """Return the credits that were tried for the branches of a component."""
        devices = self.memberships.get(name)
        if devices is None:
            return ()
        return tuple([self.credits[device] for device in devices if device in self.credits])


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
    reached = reaching(case, counted, values, after, transformers)
    supplies = supply_ratings(reached, values, after, transformers)
    return Assessment(
        case=case,
        scope=counted,
        values=values,
        transformers=transformers,
        branches=found,
        profiles=at,
        credits=credits,
        after=after,
        reaching=reached,
        supplies=supplies,
        headline=lowest(supplies),
        memberships=members,
    )
