"""SB4.4: the panel takes the lowest value between its loads and its supply (method, section 7)."""

from collections.abc import Iterator
from typing import NamedTuple

from sccr.ul508a.rules.sb4_2_scope import Scope
from sccr.ul508a.rules.sb4_3_1_transformers import TransformerResult
from sccr.ul508a.rules.sb4_3_branch_credits import Credited
from sccr.ul508a.rules.sb4_3_branch_credits import branch_devices_outside
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes

CLAUSE = "SB4.4"
CLAUSE_OF_VALUES = "SB4.2"


class Limit(NamedTuple):
    """A component that holds a value down: its current [mA] and the clause by which it reaches the supply."""

    component: str
    current: MilliAmperes
    clause: str


class SupplyRating(NamedTuple):
    """The rating of what one supply feeds [mA], with every component that ties for it."""

    supply: str
    current: MilliAmperes
    limits: tuple[Limit, ...]


#: By supply, what reaches it [mA]: each part at its voltage, each transformer with the lowest that it carries there.
Reaching = dict[str, dict[str, MilliAmperes]]


def reaching(
    case: Subject,
    scope: Scope,
    values: dict[str, Value],
    after: dict[str, Credited],
    transformers: dict[str, TransformerResult],
) -> Reaching:
    """Return what reaches each supply, upstream protection that is a branch device first, then as in the diagram."""
    outside = branch_devices_outside(case)
    found: Reaching = {}
    for supply in case.panel.supplies:
        found[supply.id] = worth = {}
        if supply.id in outside:
            worth[outside[supply.id]] = values[outside[supply.id]].current
        for name in case.zones.get(supply.id, ()):
            if name in scope.counted:
                worth[name] = after[name].current
            elif name in transformers:
                worth[name] = carried(transformers[name], values)
    return found


def carried(result: TransformerResult, values: dict[str, Value]) -> MilliAmperes:
    """Return the lowest that a transformer carries to its line side [mA], UNLIMITED where it carries nothing."""
    return min((limit.current for limit in _carried_limits(result, values)), default=UNLIMITED)


def _carried_limits(result: TransformerResult, values: dict[str, Value]) -> Iterator[Limit]:
    for held in result.held_by:
        yield Limit(held, result.carried, "SB4.3.1" if result.rule else CLAUSE_OF_VALUES)
    for device in result.relies_on:
        yield Limit(device, values[device].current, "SB4.3.1")


def supply_ratings(
    found: Reaching,
    values: dict[str, Value],
    after: dict[str, Credited],
    transformers: dict[str, TransformerResult],
) -> tuple[SupplyRating, ...]:
    """Return the rating of each supply: the lowest of all that reaches it."""
    ratings = []
    for supply, worth in found.items():
        current = min(worth.values(), default=UNLIMITED)
        limits: dict[str, Limit] = {}
        if current < UNLIMITED:
            for name in [name for name, reached in worth.items() if reached == current]:
                _add_limits(limits, name, current, values, after, transformers)
        ratings.append(SupplyRating(supply, current, tuple(limits.values())))
    return tuple(ratings)


def lowest(ratings: tuple[SupplyRating, ...]) -> SupplyRating:
    """Return the lowest rating among the supplies; its limits name the ties on every supply."""
    if len(ratings) == 1:
        return ratings[0]
    current = min(rating.current for rating in ratings)
    ties = [rating for rating in ratings if rating.current == current]
    limits = {limit.component: limit for rating in ties for limit in rating.limits}
    return SupplyRating(ties[0].supply, current, tuple(limits.values()))


def _add_limits(
    found: dict[str, Limit],
    name: str,
    current: MilliAmperes,
    values: dict[str, Value],
    after: dict[str, Credited],
    transformers: dict[str, TransformerResult],
) -> None:
    """Add who holds a value of `current` [mA] that reaches a supply: the part itself, or those behind a transformer."""
    if name not in after and name in transformers:
        for limit in _carried_limits(transformers[name], values):
            if limit.current == current:
                _add_cause(found, limit, values, after)
        return
    step = after[name].step if name in after else None
    limit = Limit(name, current, CLAUSE_OF_VALUES if step is None else step.clause)
    if values[name].capped_by is None and (step is None or step.available <= step.level):  # nothing cuts it
        found.setdefault(name, limit)
    else:
        _add_cause(found, limit, values, after)


def _add_cause(found: dict[str, Limit], limit: Limit, values: dict[str, Value], after: dict[str, Credited]) -> None:
    """Add a limit with the true cause named: a part cut by a device's interrupting rating gives way to it."""
    cut = _cut_by(values[limit.component], after.get(limit.component), limit.current)
    if cut is not None and cut != limit.component:
        limit = Limit(cut, limit.current, CLAUSE_OF_VALUES)
    found.setdefault(limit.component, limit)


def _cut_by(value: Value, credited: Credited | None, current: MilliAmperes) -> str | None:
    step = credited.step if credited is not None else None
    if step is not None and step.available > step.level and len(step.given_by) == 1:
        return step.given_by[0]
    return value.capped_by if value.current == current else None
