"""What each component is worth by the choice of its part and of those that it rests on, by the engine's own rules.

Every combination that matters is put into the diagram and valued by `component_value`: no rule is written twice here.
The devices that a part rests on are taken as good for any current: that they reach the target is demanded apart.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from sccr.panel.component import Component
from sccr.ul508a.rules.sb4_2_component_values import component_value
from sccr.ul508a.rules.sb4_2_component_values import protectors
from sccr.ul508a.rules.sb4_3_branch_credits import own_profile
from sccr.ul508a.rules.sb4_3_let_through import Profile
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.upgrade.candidates import Candidate

#: A way to choose: for each component, the number of its candidate.
Way = tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Worth:
    """What a component is worth if the choices of a way are taken."""

    way: Way
    value: Value
    profile: Profile = ()


def worths(case: Subject, component: Component, choices: dict[str, tuple[Candidate, ...]]) -> Iterator[Worth]:
    """Yield what a component is worth in every way of choosing it and what it rests on."""
    for way in _ways(case, component, choices):
        parts = {name: choices[name][number].component for name, number in way}
        changed = case.with_parts(parts)
        place = changed.one_line.components[component.id]
        devices = frozenset(d.id for d in protectors(changed, place) if d is not None and _inside(case, d.id))
        value = component_value(changed, place, devices if not place.kind.overcurrent else frozenset())
        profile = own_profile(changed, place, {place.id: value}) if place.protective else ()
        yield Worth(way, value, profile)


def _inside(case: Subject, name: str) -> bool:
    return name in case.one_line.components


def _ways(case: Subject, component: Component, choices: dict[str, tuple[Candidate, ...]]) -> Iterator[Way]:
    for number, candidate in enumerate(choices.get(component.id, ())):
        names = [n for n in _rests_on(case, component, candidate.component) if n in choices and n != component.id]
        for others in product(*(range(len(choices[name])) for name in names)):
            yield ((component.id, number), *zip(names, others, strict=True))


def _rests_on(case: Subject, place: Component, part: Component) -> list[str]:
    """Return the components on whose parts the value of `part` depends: devices of its conditions, their holders."""
    names: list[str] = []
    if any(rating.protected_by for rating in part.short_circuit_ratings):
        names += [device.id for device in protectors(case, place) if device is not None]
    if part.series_ratings:
        names += [name for name in case.one_line.nearest_protection(place.id) if name is not None]
    fuses = [name for name in (*names, place.id) if _is_fuse(case, name)]
    names += [holder.id for fuse in fuses for holder in case.one_line.holders(fuse)]
    return [name for name in dict.fromkeys(names) if name in case.one_line.components]


def _is_fuse(case: Subject, name: str) -> bool:
    return name in case.one_line.components and case.one_line.components[name].kind.name == "fuse"
