"""What is marked on a part: the fields that a component and a part of the catalogue have in common."""

from collections.abc import Callable
from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Mapping
from functools import cache
from typing import Any
from typing import Final

from sccr.panel.component import Capacity
from sccr.panel.kinds import Kind
from sccr.panel.kinds import kinds
from sccr.schema import quantity
from sccr.schema.fields import Choice
from sccr.schema.fields import Flag
from sccr.schema.fields import Identifier
from sccr.schema.fields import Integer
from sccr.schema.fields import ListOf
from sccr.schema.fields import PhaseCount
from sccr.schema.fields import Quantity
from sccr.schema.fields import Text
from sccr.schema.problems import Fault
from sccr.schema.ratings import FUSE_CLASSES
from sccr.schema.ratings import HOLDER_CLASS
from sccr.schema.ratings import back_up_ratings
from sccr.schema.ratings import breaking_capacities
from sccr.schema.ratings import conditional_ratings
from sccr.schema.ratings import interrupting_ratings
from sccr.schema.ratings import let_through
from sccr.schema.ratings import series_ratings
from sccr.schema.ratings import short_circuit_ratings
from sccr.schema.ratings import short_time_ratings
from sccr.schema.ratings import utilization_category
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema
from sccr.schema.transformer import TransformerSchema

_FUSE_CLASS: Final = {name: name for name in (*FUSE_CLASSES, HOLDER_CLASS)}
_TEXTS: Final = 50
_MOST_ACCESSORIES: Final = 100


class Marking(StrictSchema):
    """The fields of a component that its part may give."""

    part = Identifier()
    kind = Choice("kind", kinds())
    poles = Integer(1, 4)
    ampere_rating = Quantity(quantity.ampere_rating)
    voltage_rating = Quantity(quantity.system_voltage)
    horsepower = Quantity(quantity.power)
    fuse_class = Choice("fuse class", _FUSE_CLASS)
    interrupting_ratings = interrupting_ratings()
    current_limiting = Flag()
    let_through = let_through()
    short_circuit_ratings = short_circuit_ratings()
    series_ratings = series_ratings()
    self_protected = Flag()
    line_to_line = Flag()
    full_load_current = Quantity(quantity.ampere_rating)
    transformer = Object(TransformerSchema())
    phases = PhaseCount()
    standards = ListOf(Text(), _TEXTS)
    accessories = ListOf(Text(), _TEXTS)
    accessory_limit = Integer(1, _MOST_ACCESSORIES)
    mounting = Text()
    trip_curve = Text()
    utilization_category = utilization_category()
    breaking_capacities = breaking_capacities()
    conditional_ratings = conditional_ratings()
    short_time_ratings = short_time_ratings()
    back_up_ratings = back_up_ratings()
    clearing_time = Quantity(quantity.duration)


def marking_faults(marking: Mapping[str, Any], stated: Collection[str]) -> list[tuple[str, Fault]]:
    """Return what is `stated`, readable or not, that the kind of part cannot have, by the name of the field."""
    kind: Kind | None = marking.get("kind")
    if kind is None:
        return []
    faults = []
    for name, remedy in _not_marked_on(kind.name, "self_protected" in marking and marking["self_protected"]):
        if name in stated:
            faults.append((name, Fault("not-applicable", f"is not marked on a {kind.label}; {remedy}")))
    if kind.overcurrent and marking.get("fuse_class") == HOLDER_CLASS:
        faults.append(
            ("fuse_class", Fault("not-applicable", "R is a class of holders; write the fuse's own, RK1 or RK5"))
        )
    faults += iec_faults(kind, marking)
    if "transformer" in marking:
        phases, own = marking["transformer"].phases, marking.get("phases")
        if phases and own and phases != own:
            faults.append(
                ("phases", Fault("contradiction", "is not what transformer.phases says; correct one of them"))
            )
    return faults


def iec_faults(kind: Kind, marking: Mapping[str, Any]) -> Iterator[tuple[str, Fault]]:
    """Yield the breaking capacities that are of another kind of device: a fuse has its own (IEC 60269-1)."""
    if "breaking_capacities" not in marking:
        return
    of_fuse = kind.name == "fuse"
    for number, capacity in enumerate(marking["breaking_capacities"], start=1):
        if (capacity.kind is Capacity.FUSE) != of_fuse:
            remedy = "fuse" if of_fuse else "icu or ics (IEC 60947-2), or icn (IEC 60898-1)"
            told = f"entry {number} has the kind {capacity.kind}, which a {kind.label} has not; write kind {remedy}"
            yield "breaking_capacities", Fault("not-applicable", told)
            return


@cache
def _not_marked_on(kind: str, self_protected: bool) -> tuple[tuple[str, str], ...]:
    """Return the fields that a kind of component cannot have, each with what to do instead."""
    named = kinds()[kind]
    rules = _FOR_SOME_KINDS.items()
    return tuple((name, remedy) for name, (may_have, remedy) in rules if not may_have(named, self_protected))


def _interrupts(kind: Kind, self_protected: bool) -> bool:
    if kind.controller:
        return kind.name == "combination_motor_controller" or self_protected
    return kind.overcurrent or kind.supplementary


def _protects(kind: Kind, self_protected: bool) -> bool:
    return kind.overcurrent or (kind.controller and self_protected)


#: Whether a kind, self-protected or not, may have a field; and what to do where it may not.
_Rule = tuple[Callable[[Kind, bool], bool], str]

_FOR_SOME_KINDS: Final[Mapping[str, _Rule]] = {
    "interrupting_ratings": (_interrupts, "write short_circuit_ratings"),
    "series_ratings": (_interrupts, "write short_circuit_ratings with protected_by"),
    "short_circuit_ratings": (
        lambda kind, self_protected: not kind.overcurrent,
        "write interrupting_ratings, or series_ratings for a tested combination",
    ),
    "exempt": (
        lambda kind, self_protected: not _protects(kind, self_protected),
        "an overcurrent protective device always counts; leave it out",
    ),
    "fuse_class": (
        lambda kind, self_protected: kind.carries_fuse or kind.name == "fuse",
        "the fuse is a component of its own, and a rating names its fuse in protected_by",
    ),
    "transformer": (lambda kind, self_protected: kind.transformer, "write kind transformer, or leave it out"),
    "utilization_category": (
        lambda kind, self_protected: kind.name == "fuse",
        "the fuse is a component of its own, and a rating names its fuse in protected_by",
    ),
    "breaking_capacities": (_interrupts, "write conditional_ratings or short_time_ratings"),
    "conditional_ratings": (
        lambda kind, self_protected: not kind.overcurrent,
        "write breaking_capacities, or back_up_ratings for a tested combination",
    ),
    "short_time_ratings": (lambda kind, self_protected: kind.name != "fuse", "write breaking_capacities"),
    "back_up_ratings": (_interrupts, "write conditional_ratings"),
    "clearing_time": (_protects, "write it on the protective device ahead"),
}
