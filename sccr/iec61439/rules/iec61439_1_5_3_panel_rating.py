"""IEC 61439-1, 5.3: the rating of the assembly is the lowest between its supply and its loads (method P1, P2, P6)."""

from collections.abc import Mapping
from typing import NamedTuple

from sccr.iec61439.rules.iec60909_0_transformers import BY_RATIO
from sccr.iec61439.rules.iec60909_0_transformers import TransformerResult
from sccr.iec61439.rules.iec61439_1_10_11_1_scope import Scope
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Value
from sccr.panel.panel import Supply
from sccr.panel.voltage import SOLIDLY_GROUNDED_WYE
from sccr.panel.voltage import wye_line_to_ground
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes
from sccr.units import volts_text

RULE = "P1"


class Limit(NamedTuple):
    """A component that holds a value down: its current [mA] as it reaches the supply, and the rule by which it does.

    behind: the transformer that carries it, None where it stands at the voltage of the supply.
    """

    component: str
    current: MilliAmperes
    rule: str
    behind: str | None = None


class SupplyRating(NamedTuple):
    """The rating of what one supply feeds [mA], with every component that ties for it."""

    supply: str
    current: MilliAmperes
    limits: tuple[Limit, ...]


def supply_ratings(
    case: Subject,
    scope: Scope,
    values: Mapping[str, Value],
    breaking: Mapping[str, Value],
    transformers: Mapping[str, TransformerResult],
) -> tuple[SupplyRating, ...]:
    """Return the rating of each supply: the lowest of all that it feeds."""
    ratings = []
    for supply in case.panel.supplies:
        worth: dict[str, MilliAmperes] = {}
        for name in case.zones.get(supply.id, ()):
            if name in scope.counted:
                worth[name] = values[name].current
            elif name in transformers:
                worth[name] = transformers[name].carried
        current = min(worth.values(), default=UNLIMITED)
        limits: dict[str, Limit] = {}
        for name, reached in worth.items() if current < UNLIMITED else ():
            if reached == current:
                held_by = (name,) if name in values else transformers[name].held_by
                for holder in held_by:
                    _add(limits, holder, current, None if name in values else name, values, breaking)
        ratings.append(SupplyRating(supply.id, current, tuple(limits.values())))
    return tuple(ratings)


def _add(
    found: dict[str, Limit],
    name: str,
    current: MilliAmperes,
    behind: str | None,
    values: Mapping[str, Value],
    breaking: Mapping[str, Value],
) -> None:
    """Add who holds a value: a part that the breaking capacity of devices cuts gives way to these."""
    value = values[name] if name in values else breaking[name]
    if not value.capped_by:
        found.setdefault(name, Limit(name, current, value.rule if behind is None else BY_RATIO, behind))
    for device in value.capped_by:
        _add(found, device, current, behind, values, breaking)


def lowest(ratings: tuple[SupplyRating, ...]) -> SupplyRating:
    """Return the lowest rating among the supplies; its limits name the ties on every supply."""
    current = min(rating.current for rating in ratings)
    ties = [rating for rating in ratings if rating.current == current]
    limits: dict[str, Limit] = {}
    for limit in (limit for rating in ties for limit in rating.limits):
        limits.setdefault(limit.component, limit)
    return SupplyRating(ties[0].supply, current, tuple(limits.values()))


def ahead_of_protection(case: Subject, values: Mapping[str, Value], supply: Supply) -> bool:
    """Return whether a part that counts stands between a supply and the first protective device behind it (P2)."""
    if supply.upstream_protection is not None:
        return False
    seen: set[str] = set()
    waiting = list(case.one_line.load_side[supply.id])
    while waiting:
        name = waiting.pop()
        if name in seen or name in case.one_line.protective:
            continue
        seen.add(name)
        if name in values and values[name].unprotected:
            return True
        waiting.extend(case.one_line.load_side[name])
    return False


def holds_earthed_only(case: Subject, scope: Scope, values: Mapping[str, Value], supply: Supply) -> bool:
    """Return whether a rating that was used at the voltage of a supply holds on an earthed system only (P5)."""
    return any(values[name].earthed for name in case.zones.get(supply.id, ()) if name in scope.counted)


def voltage_text(supply: Supply, earthed: bool) -> str:
    """Return the voltage of a supply's rating as it is marked: '400 V', or '230/400 V' on an earthed star (P6)."""
    line = supply.voltage.line
    if not earthed or supply.system is not SOLIDLY_GROUNDED_WYE:
        return supply.voltage.text if earthed else f"{volts_text(line)} V"
    ground = supply.voltage.ground or wye_line_to_ground(line)
    return f"{volts_text(ground)}/{volts_text(line)} V"
