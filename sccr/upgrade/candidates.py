"""Which parts of the catalogue may take the place of a component: same function, poles, amperes and voltage."""

import csv
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
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part
from sccr.schema.component import component as read_component
from sccr.ul508a.subject import Subject
from sccr.ul508a.subject import serves_all

WATTS_PER_HORSEPOWER = Decimal(746)
OBJECTIVES = ("price", "changes", "labour")
#: Less than any price step even a hundred times over (prices are in hundredths).
NOT_ON_HAND = Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that may stand in a place; `part` None keeps what is there. cost: by the objective of the plan."""

    component: Component
    part: Part | None
    cost: Decimal

    @property
    def weight(self) -> Decimal:
        """What the solver counts: the cost, and a trifle for a part that is not on hand, to decide between equals."""
        return self.cost if self.part is None or self.part.stock else self.cost + NOT_ON_HAND


@cache
def labour() -> dict[str, Decimal]:
    """Return the hours that changing a part of each kind takes (common practice, no source)."""
    text = resources.files("sccr.upgrade").joinpath("labour.csv").read_text(encoding="utf-8")
    return {row["kind"]: Decimal(row["hours"]) for row in csv.DictReader(text.splitlines())}


def labour_of(kind: str) -> Decimal:
    """Return the hours for one kind."""
    return labour().get(kind, labour()["other"])


def cost_of(part: Part, objective: str) -> Decimal | None:
    """Return what putting a part in costs, None where the objective is price and the part has none."""
    if objective == "price":
        return part.price
    return Decimal(1) if objective == "changes" else labour_of(part.kind.name)


def swaps(case: Subject, component: Component, catalogue: Catalogue, objective: str) -> Iterator[Candidate]:
    """Yield the parts that may take a component's place, keeping it first."""
    yield Candidate(component, None, Decimal(0))
    for part in catalogue.parts.values():
        if part.kind == component.kind and part.part != component.part:
            cost = cost_of(part, objective)
            other = as_component(component, part)
            if cost is not None and suits(component, other) and applies(case, other):
                yield Candidate(other, part, cost)


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
        full_load_current=place.full_load_current,
        accessories=place.accessories,
    )


def suits(old: Component, new: Component) -> bool:
    """Return whether a part does what the one before it did: poles, amperes, power, kind of protection, trip curve."""
    return (
        (old.poles is None or new.poles == old.poles)
        and _amperes_suit(old, new)
        and _power(new.power) >= _power(old.power)
        and new.protective == old.protective
        and (old.trip_curve is None or new.trip_curve in (None, old.trip_curve))
        and (not old.line_to_line or new.line_to_line)
        and len(old.accessories) <= max(1, new.accessory_limit or 0)
    )


def _amperes_suit(old: Component, new: Component) -> bool:
    """A protective device keeps its amperes; what carries current may carry more."""
    if old.amperes is None:
        return True
    if new.amperes is None:
        return False
    return new.amperes == old.amperes if old.protective or old.kind.supplementary else new.amperes >= old.amperes


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
