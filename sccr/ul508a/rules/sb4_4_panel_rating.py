"""SB4.4: the panel takes the lowest value between its loads and its supply (method, section 7)."""

from collections.abc import Iterator
from dataclasses import dataclass

from sccr.ul508a.rules.sb4_2_scope import Scope
from sccr.ul508a.rules.sb4_3_1_transformers import TransformerResult
from sccr.ul508a.rules.sb4_3_branch_credits import Credited
from sccr.ul508a.rules.sb4_3_branch_credits import branch_devices_outside
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes

CLAUSE = "SB4.4"


@dataclass(frozen=True, slots=True)
class Limit:
    """A component that holds a value down: its current [mA] and the clause by which it reaches the supply."""

    component: str
    current: MilliAmperes
    clause: str


@dataclass(frozen=True, slots=True)
class SupplyRating:
    """The rating of what one supply feeds [mA], with every component that ties for it."""

    supply: str
    current: MilliAmperes
    limits: tuple[Limit, ...]


def supply_ratings(
    case: Subject,
    scope: Scope,
    values: dict[str, Value],
    after: dict[str, Credited],
    transformers: dict[str, TransformerResult],
) -> tuple[SupplyRating, ...]:
    """Return the rating of each supply: the lowest of all that stands at its voltage and all that is carried to it."""
    found = []
    for supply in case.panel.supplies:
        reaching = list(_reaching(case, scope, values, after, transformers, supply.id))
        current = min((limit.current for limit in reaching), default=UNLIMITED)
        tied = [limit for limit in reaching if limit.current == current]
        found.append(SupplyRating(supply.id, current, named_limits(values, after, tied)))
    return tuple(found)


def _reaching(
    case: Subject,
    scope: Scope,
    values: dict[str, Value],
    after: dict[str, Credited],
    transformers: dict[str, TransformerResult],
    supply: str,
) -> Iterator[Limit]:
    outside = branch_devices_outside(case).get(supply)
    if outside is not None:
        yield Limit(outside, values[outside].current, "SB4.2")
    for name in case.zones.get(supply, ()):
        if name in scope.counted:
            step = after[name].step
            yield Limit(name, after[name].current, step.clause if step else "SB4.2")
        elif name in transformers:
            result = transformers[name]
            for held in result.held_by:
                yield Limit(held, result.carried, "SB4.3.1" if result.rule else "SB4.2")
            for device in result.relies_on:
                yield Limit(device, values[device].current, "SB4.3.1")


def named_limits(values: dict[str, Value], after: dict[str, Credited], tied: list[Limit]) -> tuple[Limit, ...]:
    """Return the limits with the true cause named: a part cut by a device's interrupting rating gives way to it."""
    found: dict[str, Limit] = {}
    for limit in tied:
        cut = _cut_by(values[limit.component], after.get(limit.component), limit.current)
        cause = cut or limit.component
        found.setdefault(cause, Limit(cause, limit.current, "SB4.2" if cause != limit.component else limit.clause))
    return tuple(found.values())


def _cut_by(value: Value, credited: Credited | None, current: MilliAmperes) -> str | None:
    step = credited.step if credited is not None else None
    if step is not None and step.available > step.level and len(step.given_by) == 1:
        return step.given_by[0]
    return value.capped_by if value.current == current else None
