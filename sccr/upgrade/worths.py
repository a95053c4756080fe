"""What each component is worth by the choice of its part and of those that it rests on, by the engine's own rules.

Every combination that matters is put into the diagram and valued by `component_value`: no rule is written twice here.
Parts that are alike in all that a rule looks at are valued once. The devices that a part rests on are taken as good
for any current: that they reach the target is demanded apart.
"""

from collections.abc import Callable
from collections.abc import Hashable
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace
from itertools import product
from time import monotonic

from sccr.panel.component import Component
from sccr.ul508a.rules.sb4_2_component_values import component_value
from sccr.ul508a.rules.sb4_2_component_values import protectors
from sccr.ul508a.rules.sb4_3_branch_credits import own_profile
from sccr.ul508a.rules.sb4_3_let_through import Profile
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.upgrade.candidates import Candidate
from sccr.upgrade.candidates import fits
from sccr.upgrade.candidates import is_fuse

Choices = Mapping[str, tuple[Candidate, ...]]
#: Candidates that are alike, by their numbers among those of a component.
Numbers = tuple[int, ...]
#: A way to choose: for each component, one of some alike candidates.
Way = tuple[tuple[str, Numbers], ...]


class OutOfTime(Exception):
    """The time for a plan was up before all that it may choose from was looked at."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What a component is worth if the choices of a way are taken; its own stands first."""

    way: Way
    value: Value
    profile: Profile = ()


def worths(case: Subject, component: Component, choices: Choices, until: float) -> Iterator[Worth]:
    """Yield what a component is worth in every way of choosing it and what it rests on.

    Left out are the ways in which a fuse does not fit its holder. Raises OutOfTime after `until`.
    """
    for way in _ways(case, component, choices):
        if monotonic() > until:
            raise OutOfTime
        parts = {name: choices[name][numbers[0]].component for name, numbers in way}
        changed = case.with_parts(parts)
        if not all(_fits_its_holders(changed, part) for part in parts.values()):
            continue
        place = changed.one_line.components[component.id]
        devices = frozenset(d.id for d in protectors(changed, place) if d is not None and _inside(case, d.id))
        value = component_value(changed, place, devices if not place.kind.overcurrent else frozenset())
        profile = own_profile(changed, place, {place.id: value}) if place.protective else ()
        yield Worth(way, value, profile)


def surroundings(case: Subject, component: Component) -> tuple[object, ...]:
    """Return all that its worths depend on beside the choices: where it is the same, they are."""
    nearest = case.one_line.nearest_protection(component.id)
    devices = [*nearest, *(device.id for device in protectors(case, component) if device is not None)]
    names = [name for name in (component.id, *devices) if name is not None and _inside(case, name)]
    holders = [holder.id for name in names for holder in case.one_line.holders(name)]
    return component, case.feeds_of(component.id), tuple(devices), tuple(holders)


def rests_on(case: Subject, place: Component, part: Component) -> list[str]:
    """Return the components on whose parts the value of `part` depends: devices of its conditions, their holders."""
    names: list[str] = []
    if any(rating.protected_by for rating in part.short_circuit_ratings):
        names += [device.id for device in protectors(case, place) if device is not None]
    if part.series_ratings:
        names += [name for name in case.one_line.nearest_protection(place.id) if name is not None]
    inside = [name for name in (*names, place.id) if _inside(case, name)]
    fuses = [name for name in inside if is_fuse(case.one_line.components[name])]
    return list(dict.fromkeys([*inside, *(holder.id for fuse in fuses for holder in case.one_line.holders(fuse))]))


def _ways(case: Subject, component: Component, choices: Choices) -> Iterator[Way]:
    ahead: dict[str, list[Numbers]] = {}
    for own in alike(choices.get(component.id, ()), marking):
        part = choices[component.id][own[0]].component
        names = [n for n in rests_on(case, component, part) if n in choices and n != component.id]
        for name in names:
            if name not in ahead:
                ahead[name] = alike(choices[name], _as_protector)
        groups = [list(_told_apart(choices[name], ahead[name], _named_by(part))) for name in names]
        for others in product(*groups):
            yield ((component.id, own), *zip(names, others, strict=True))


def alike(candidates: tuple[Candidate, ...], what: Callable[[Component], Hashable]) -> list[Numbers]:
    """Return the candidates in groups of those that are the same in what matters."""
    groups: dict[Hashable, list[int]] = {}
    for number, candidate in enumerate(candidates):
        groups.setdefault(what(candidate.component), []).append(number)
    return [tuple(numbers) for numbers in groups.values()]


def marking(part: Component) -> Hashable:
    """Return what the value of a part depends on: all but its name and how it is mounted, tripped and fitted out."""
    bare = replace(part, part=None, standards=(), mounting=None, trip_curve=None, from_catalogue=frozenset())
    return replace(bare, accessories=(), accessory_limit=None, phases=None)


def _as_protector(part: Component) -> Hashable:
    """Return what a tested combination looks at in a device or its holder, but for its name."""
    return part.fuse_class, part.amperes, part.voltage


def _named_by(part: Component) -> frozenset[str]:
    """Return the parts that its tested combinations name."""
    tested = [r.protected_by.parts for r in part.short_circuit_ratings if r.protected_by is not None]
    return frozenset(name for names in (*tested, *(r.line_side.parts for r in part.series_ratings)) for name in names)


def _told_apart(candidates: tuple[Candidate, ...], groups: list[Numbers], named: frozenset[str]) -> Iterator[Numbers]:
    """Yield groups with those that are named each by itself."""
    for group in groups:
        single = [number for number in group if candidates[number].component.part in named]
        yield from ((number,) for number in single)
        others = tuple(number for number in group if number not in single) if single else group
        if others:
            yield others


def _fits_its_holders(case: Subject, part: Component) -> bool:
    return not is_fuse(part) or all(fits(case, part, holder) for holder in case.one_line.holders(part.id))


def _inside(case: Subject, name: str) -> bool:
    return name in case.one_line.components
