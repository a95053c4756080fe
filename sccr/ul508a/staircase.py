"""The staircase: what the rating becomes as each limit is lifted, re-rated where something moves."""

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from sccr.ul508a.assessment import Assessment
from sccr.ul508a.reasons import Hold
from sccr.ul508a.reasons import holds
from sccr.ul508a.rules.sb4_2_component_values import lift
from sccr.ul508a.rules.sb4_3_1_transformers import results_with_moved
from sccr.ul508a.rules.sb4_3_branch_credits import branch_credits
from sccr.ul508a.rules.sb4_3_branch_credits import credited_values
from sccr.ul508a.rules.sb4_3_branch_credits import gives_credit
from sccr.ul508a.rules.sb4_3_branch_credits import profiles
from sccr.ul508a.rules.sb4_4_panel_rating import SupplyRating
from sccr.ul508a.rules.sb4_4_panel_rating import carried
from sccr.ul508a.rules.sb4_4_panel_rating import lowest
from sccr.ul508a.rules.sb4_4_panel_rating import supply_ratings
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import UNLIMITED

#: Steps of the staircase that are worked out; beyond it a note says so.
LONGEST_STAIRCASE = 40


class Rung(NamedTuple):
    """The rating of the panel once everything before is lifted, and what holds it there."""

    rating: SupplyRating
    holds: tuple[Hold, ...]


def staircase(first: Assessment) -> Iterator[Rung]:
    """Yield the panel re-rated with each limit lifted in turn, up to the top or the longest staircase."""
    now, cuts, crediting = _own(first), _cuts(first.values), _crediting(first.case)
    rating, lifted = first.headline, frozenset[str]()
    for _ in range(LONGEST_STAIRCASE):
        newly = frozenset([limit.component for limit in rating.limits])
        lifted |= newly
        if all(worth.keys() <= lifted for worth in now.reaching.values()):
            return  # nothing is left
        moved = newly.union(*(cuts.get(name, ()) for name in newly)) if cuts else newly
        lift(now.case, now.values, lifted, moved)
        for name in moved - lifted:
            _add_cuts(cuts, name, now.values[name])
        _carry(now, moved, _credit(now, moved, everywhere=not moved.isdisjoint(crediting)))
        rating = lowest(supply_ratings(now.reaching, now.values, now.after, now.transformers))
        if rating.current >= UNLIMITED:
            return
        yield Rung(rating, holds(now, rating))


def _own(first: Assessment) -> Assessment:
    """Return an assessment whose conclusions may be changed in place, step by step; its ratings stay the first ones."""
    return replace(
        first,
        values=dict(first.values),
        transformers=dict(first.transformers),
        profiles=dict(first.profiles),
        credits=dict(first.credits),
        after=dict(first.after),
        reaching={supply: dict(worth) for supply, worth in first.reaching.items()},
    )


def _cuts(values: dict[str, Value]) -> dict[str, set[str]]:
    """Return, by device, the parts of which it cuts a rating, that which counts or another.

    Only a lifted part, and a part of which a lifted device cuts a rating, can move: that rating may then be its best.
    """
    found: dict[str, set[str]] = {}
    for name, value in values.items():
        if value.cuts or value.capped_by is not None:
            _add_cuts(found, name, value)
    return found


def _add_cuts(found: dict[str, set[str]], name: str, value: Value) -> None:
    for device in (value.capped_by, *value.cuts):
        if device is not None:
            found.setdefault(device, set()).add(name)


def _crediting(case: Subject) -> frozenset[str]:
    """Return the devices whose let-through may credit a branch."""
    return frozenset([name for name in (*case.upstream, *case.one_line.protective) if gives_credit(case, name)])


def _credit(now: Assessment, moved: frozenset[str], everywhere: bool) -> frozenset[str]:
    """Credit again the branches of what moved, or every branch where a device moved that gives credit."""
    case, values = now.case, now.values
    if everywhere:
        now.profiles.update(profiles(case, values))
        now.credits.clear()
        now.credits.update(branch_credits(case, now.branches, values, now.profiles))
        parts = now.scope.counted
    else:
        devices = {device for name in moved for device in now.memberships.get(name, ())}
        parts = moved & now.scope.counted
        if devices:
            again = {device: now.branches[device] for device in devices}
            now.credits.update(branch_credits(case, again, values, now.profiles))
            parts = parts.union(*[branch.withstand for branch in again.values()])
    now.after.update(credited_values(case, parts, values, now.memberships, now.credits, now.profiles))
    return parts


def _carry(now: Assessment, moved: frozenset[str], renewed: frozenset[str]) -> None:
    """Carry what moved, or has another credit, to the supplies."""
    case = now.case
    if now.transformers:
        now.transformers.update(results_with_moved(case, now.scope, now.values, now.transformers, moved))
    for supply, worth in now.reaching.items():
        for name in renewed:
            if supply in case.origins[name]:
                worth[name] = now.after[name].current
        for name in moved.intersection(case.upstream, worth):
            worth[name] = now.values[name].current
        for name, result in now.transformers.items():
            if name in worth and name not in now.after:
                worth[name] = carried(result, now.values)
