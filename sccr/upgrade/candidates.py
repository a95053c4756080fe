"""Which parts of the catalogue may take the place of a component: same function, poles, amperes and voltage."""

import csv
from collections.abc import Iterable
from collections.abc import Iterator
from dataclasses import dataclass
from dataclasses import replace
from decimal import Decimal
from functools import cache
from importlib import resources

from sccr.panel.component import Component
from sccr.panel.component import Power
from sccr.panel.component import SupplyType
from sccr.panel.voltage import System
from sccr.schema.catalogue import Part
from sccr.schema.component import component as read_component
from sccr.ul508a.rules.warnings import DEFAULT_ACCESSORIES
from sccr.ul508a.subject import Subject
from sccr.ul508a.subject import serves_all
from sccr.units import MilliAmperes

WATTS_PER_HORSEPOWER = Decimal(746)
OBJECTIVES = ("price", "changes", "labour")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that may stand in a place; `part` None keeps what is there. cost: by the objective of the plan.

    pieces: how many of the part the place takes.
    """

    component: Component
    part: Part | None
    cost: Decimal
    pieces: int = 1


@cache
def labour() -> dict[str, Decimal]:
    """Return the hours that changing a part of each kind takes (common practice, no source)."""
    text = resources.files("sccr.upgrade").joinpath("labour.csv").read_text(encoding="utf-8")
    return {row["kind"]: Decimal(row["hours"]) for row in csv.DictReader(text.splitlines())}


def labour_of(kind: str) -> Decimal:
    """Return the hours for one kind."""
    return labour().get(kind, labour()["other"])


def cost_of(part: Part, objective: str, pieces: int = 1) -> Decimal | None:
    """Return what putting so many of a part in costs, None where the objective is price and the part has none."""
    if objective == "price":
        return None if part.price is None else part.price * pieces
    return Decimal(1) if objective == "changes" else labour_of(part.kind.name)


def swaps(case: Subject, component: Component, parts: Iterable[Part], objective: str) -> Iterator[Candidate]:
    """Yield which of some parts of its kind may take a component's place, keeping it first."""
    yield Candidate(component, None, Decimal(0))
    others = (part for part in parts if part.part != component.part and suits(component, part))
    yield from fitted(case, component, others, objective)


def fitted(case: Subject, place: Component, parts: Iterable[Part], objective: str) -> Iterator[Candidate]:
    """Yield parts as they would stand in a place: those that have a cost and whose voltage serves the circuit."""
    for part in parts:
        pieces = pieces_of(case, place, part)
        cost = cost_of(part, objective, pieces)
        if cost is not None and applies(case, other := as_component(place, part)):
            yield Candidate(other, part, cost, pieces)


def pieces_of(case: Subject, place: Component, part: Part) -> int:
    """Return how many of a part a place takes: of a fuse, one in each conductor that the place interrupts."""
    if not is_fuse(place) or (part.fields.get("poles") or 1) > 1:
        return 1
    return place.poles or max(feed.conductors for feed in case.feeds_of(place.id))


def as_component(place: Component, part: Part) -> Component:
    """Return a part as the component that it is in a place: what belongs to the place stays."""
    own = {"id": place.id, "fed_from": place.fed_from, "part": part.part}
    found = read_component(own, {**part.fields, **own})
    return replace(
        found,
        control=place.control,
        position=place.position,
        exempt=place.exempt,
        in_field=place.in_field,
        location_stated=place.location_stated,
        phases=place.phases or found.phases,
        poles=found.poles or (place.poles if is_fuse(found) else None),
        full_load_current=place.full_load_current,
        accessories=place.accessories,
    )


def suits(old: Component, part: Part) -> bool:
    """Return whether a part does what a component does: poles, amperes, power, kind of protection, trip curve."""
    new = part.fields
    return (
        (old.poles is None or new.get("poles") == old.poles or (is_fuse(old) and "poles" not in new))
        and _amperes_suit(old, new.get("ampere_rating"))
        and _power(new.get("horsepower")) >= _power(old.power)
        and (old.kind.overcurrent or not old.kind.controller or bool(new.get("self_protected")) == old.self_protected)
        and (old.trip_curve is None or new.get("trip_curve") in (None, old.trip_curve))
        and (not old.line_to_line or bool(new.get("line_to_line")))
        and (old.utilization_category is None or new.get("utilization_category") == old.utilization_category)
        and _accessories_fit(old, new.get("accessory_limit"))
    )


def _accessories_fit(old: Component, limit: int | None) -> bool:
    """A part takes the accessories of the one before it, or at least as many as that one takes."""
    takes = limit or DEFAULT_ACCESSORIES
    return len(old.accessories) <= takes or takes >= (old.accessory_limit or DEFAULT_ACCESSORIES)


def _amperes_suit(old: Component, amperes: MilliAmperes | None) -> bool:
    """A protective device keeps its amperes; what carries current may carry more."""
    if old.amperes is None:
        return True
    if amperes is None:
        return False
    return amperes == old.amperes if old.protective or old.kind.supplementary else amperes >= old.amperes


def is_fuse(component: Component) -> bool:
    """Return whether this is a fuse: its poles are the place's, not the part's."""
    return component.kind.name == "fuse"


def fits(case: Subject, fuse: Component, holder: Component) -> bool:
    """Return whether a fuse goes into a holder by class and amperes (R7)."""
    row = case.tables.holders.get(holder.fuse_class or "")
    kind = row is None or fuse.fuse_class is None or fuse.fuse_class in row.accepts
    return kind and (holder.amperes is None or fuse.amperes is None or fuse.amperes <= holder.amperes)


def _power(power: Power | None) -> Decimal:
    if power is None:
        return Decimal(0)
    return power.watts if power.watts is not None else (power.horsepower or Decimal(0)) * WATTS_PER_HORSEPOWER


def applies(case: Subject, component: Component) -> bool:
    """Return whether a part's voltage rating serves the circuit (what it is worth there is found by the rules)."""
    if component.voltage is None:
        return True
    fed = case.feeds_of(component.id)
    direct = any(feed.system is System.DC for feed in fed)
    return serves_all(component.voltage, SupplyType.DC if direct else SupplyType.AC, fed)
