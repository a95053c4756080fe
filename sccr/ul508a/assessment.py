"""The clauses in their order: SB4.2 values, SB4.3 adjustments, SB4.4 the lowest. One walk, no wording."""

from collections.abc import Iterator
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
from sccr.ul508a.rules.sb4_3_branch_credits import profiles
from sccr.ul508a.rules.sb4_4_panel_rating import SupplyRating
from sccr.ul508a.rules.sb4_4_panel_rating import supply_ratings
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import UNLIMITED

NOTHING_LIFTED: frozenset[str] = frozenset()
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
    credits: dict[str, BranchCredit]
    after: dict[str, Credited]
    supplies: tuple[SupplyRating, ...]

    @property
    def headline(self) -> SupplyRating:
        """The lowest rating among the supplies; its limits name the ties on every supply."""
        current = min(rating.current for rating in self.supplies)
        lowest = [rating for rating in self.supplies if rating.current == current]
        limits = {limit.component: limit for rating in lowest for limit in rating.limits}
        return SupplyRating(lowest[0].supply, current, tuple(limits.values()))


def assess(case: Subject, in_scope: Scope | None = None, lifted: frozenset[str] = NOTHING_LIFTED) -> Assessment:
    """Return what the clauses conclude, with the components in `lifted` taken as good for any current."""
    counted = in_scope or scope(case)
    values = component_values(case, counted, lifted)
    transformers = transformer_results(case, counted, values)
    found = branches(case, counted)
    at = profiles(case, values)
    credits = branch_credits(case, found, values, at)
    after = credited_values(case, counted, values, found, credits, at)
    supplies = supply_ratings(case, counted, values, after, transformers)
    return Assessment(case, counted, values, transformers, found, credits, after, supplies)


def staircase(first: Assessment) -> Iterator[Assessment]:
    """Yield the panel re-rated with each limit lifted in turn, up to the top or the longest staircase."""
    lifted: frozenset[str] = NOTHING_LIFTED
    now = first
    for _ in range(LONGEST_STAIRCASE):
        lifted |= {limit.component for limit in now.headline.limits}
        now = assess(now.case, now.scope, lifted)
        if now.headline.current >= UNLIMITED:
            return
        yield now
