"""IEC 61439-1, 9.3.2: what each component is worth at its own place, and the devices first (method B, W, E).

A part on several paths is worth the lowest that it is worth on one of them.
"""

from collections.abc import Iterable
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final
from typing import NamedTuple

from sccr.iec61439.rules.iec60947_2_annex_a_back_up import with_back_up
from sccr.iec61439.rules.iec60947_2_breaking_capacities import own_capacity
from sccr.iec61439.rules.iec61439_1_5_3_5_short_time import longest
from sccr.iec61439.rules.iec61439_1_5_3_5_short_time import short_time_claims
from sccr.iec61439.rules.iec61439_1_5_3_5_short_time import unprotected_claims
from sccr.iec61439.rules.iec61439_1_9_3_2_conditional import conditional_claims
from sccr.iec61439.rules.iec61439_1_9_3_2_conditional import needs_type_2
from sccr.iec61439.rules.iec61439_1_10_11_1_scope import CONDUCTOR
from sccr.iec61439.rules.iec61439_1_10_11_1_scope import Scope
from sccr.iec61439.rules.iec61439_1_10_11_2_unverified import unverified
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import LIFTED
from sccr.iec61439.value import Basis
from sccr.iec61439.value import Value
from sccr.panel.component import Component
from sccr.panel.voltage import DC
from sccr.units import UNLIMITED

RULE = "W4"
_NONE: Final = frozenset[str]()
_DIRECT = "direct current is not rated here: take the part out of the document or rate its circuit by hand"


def breaking_values(case: Subject, lifted: frozenset[str] = _NONE) -> dict[str, Value]:
    """Return what each protective device breaks, upstream protection first; those in `lifted` break any current."""
    found: dict[str, Value] = {}
    for name in (*case.upstream, *[n for n in case.one_line.order if n in case.one_line.protective]):
        device = case.one_line.device(name)
        found[name] = LIFTED if name in lifted else with_back_up(case, device, own_capacity(case, device), found)
    return found


def component_values(
    case: Subject, scope: Scope, breaking: Mapping[str, Value], lifted: frozenset[str] = _NONE
) -> dict[str, Value]:
    """Return the value of every component that counts, in the order of the diagram."""
    finder = Finder(case, breaking, reference_duration(case, scope, breaking))
    found = {}
    for name, component in case.one_line.in_order():
        if name in scope.counted:
            known = breaking.get(name)
            if known is None:
                known = finder.lifted(component) if name in lifted else finder.value(component)
            found[name] = known
    return found


def reference_duration(case: Subject, scope: Scope, breaking: Mapping[str, Value]) -> Decimal | None:
    """Return the longest duration [s] of a short-time rating that counts ahead of all protection; None without any."""
    found = []
    for name in case.one_line.order if case.one_line.unprotected else ():
        if name in scope.counted and name in case.one_line.unprotected and name not in breaking:
            component = case.one_line.components[name]
            rating = longest(component)
            ahead_of_all = any(path.unprotected for path in paths(case, component))
            if rating is not None and ahead_of_all and not needs_type_2(case, component):
                found.append(rating.duration)
    return max(found, default=None)


class Path(NamedTuple):
    """A way in which a part is fed: the device that protects it at its voltage, None where there is none.

    unprotected: no protective device at all stands on it.
    """

    device: Component | None
    unprotected: bool = False


def paths(case: Subject, part: Component) -> list[Path]:
    """Return the device that protects a part on each path: the nearest ahead, or a fuse that a holder carries.

    A device on the other side of a transformer is none: how long a short circuit behind that lasts is not known.
    """
    fuses = case.one_line.carried_fuses(part.id) if part.kind.carries_fuse else ()
    carried = [Path(fuse) for fuse in fuses if fuse.id in case.one_line.protective]
    if carried:
        return carried
    found = []
    for name in case.one_line.nearest_protection(part.id):
        near = name is not None and case.same_zone(part.id, name)
        found.append(Path(case.one_line.device(name) if name is not None and near else None, name is None))
    return found


@dataclass(frozen=True, slots=True)
class Finder:
    """What the value of a wired part is found from: what the devices break, and the reference duration [s]."""

    case: Subject
    breaking: Mapping[str, Value]
    reference: Decimal | None

    def value(self, part: Component) -> Value:
        """Return what a wired part is worth: on its weakest path."""
        if any(feed.system is DC for feed in self.case.feeds_of(part.id)):
            return Value(0, "X2", Basis.MISSING, _DIRECT, code="dc-not-covered")
        refused: list[str] = []
        ahead = [self._on_path(part, path, refused) for path in paths(self.case, part)]
        holding = [value for value in ahead if value is not None]
        found = weakest(holding) if len(holding) == len(ahead) else self._missing(part, refused)
        return found._replace(refused=_distinct(refused))

    def lifted(self, part: Component) -> Value:
        """Return what a part that is good for any current is worth: no more than the devices ahead of it break.

        That counts where such a device does not count itself: one outside the panel.
        """
        ahead = [path.device.id for path in paths(self.case, part) if path.device is not None]
        if not ahead:
            return LIFTED
        lowest = min(ahead, key=lambda name: self.breaking[name].current)
        breaks = self.breaking[lowest]
        if breaks.missing:  # it stays at what needs no device, until that one can be relied on
            return self.value(part)._replace(capped_by=(lowest,))
        return LIFTED if breaks.current >= UNLIMITED else breaks._replace(basis=Basis.LIFTED, capped_by=(lowest,))

    def _on_path(self, part: Component, path: Path, refused: list[str]) -> Value | None:
        breaks = None
        if path.device is not None:
            breaks = self.breaking[path.device.id]
            claim = self._behind(part, path.device, refused)
        else:
            claim = self._unprotected(part, path, refused)
        if claim is None and self.case.tables.roles[part.kind.name].name == CONDUCTOR:
            claim = unverified(self.case, part, path.device, breaks)._replace(unprotected=path.unprotected)
        return claim

    def _behind(self, part: Component, device: Component, refused: list[str]) -> Value | None:
        """Return the best claim behind a device; of equal ones that which the device cuts: lifting it tells more."""
        breaks = self.breaking[device.id]
        claims = list(conditional_claims(self.case, part, device, breaks, refused))
        if not needs_type_2(self.case, part):
            claims += short_time_claims(self.case, part, device, breaks, refused)
        elif part.short_time_ratings:
            refused.append("short_time_ratings: the option coordination asks for a conditional rating of type 2")
        return max(claims, key=_worth, default=None)

    def _unprotected(self, part: Component, path: Path, refused: list[str]) -> Value | None:
        if part.conditional_ratings:
            refused.append("conditional_ratings: no protective device stands ahead of it at its voltage")
        if not path.unprotected:
            if part.short_time_ratings:
                refused.append("short_time_ratings: what protects it stands on the other side of a transformer")
            return None
        if needs_type_2(self.case, part) and part.short_time_ratings:
            refused.append("short_time_ratings: the option coordination asks for a conditional rating of type 2")
            return None
        return next(iter(unprotected_claims(self.case, part, self.reference)), None) if self.reference else None

    def _missing(self, part: Component, refused: list[str]) -> Value:
        """Return that nothing holds, with the field to state."""
        wanted = "conditional_ratings with the protective device ahead, or short_time_ratings"
        if any(path.unprotected for path in paths(self.case, part)):
            wanted = "short_time_ratings (it stands ahead of every protective device), or upstream_protection"
        if needs_type_2(self.case, part):
            wanted = "conditional_ratings of coordination 2 with the protective device ahead"
        text = f"no rating by IEC counts for this {part.kind.label}: state {wanted}"
        if part.short_circuit_ratings or part.interrupting_ratings:
            text += "; ratings by UL do not count"
        return Value(0, RULE, Basis.MISSING, "; ".join([text, *_distinct(refused)]), code="no-rating")


def _worth(value: Value) -> tuple[int, bool, bool]:
    return value.current, not value.type_1, bool(value.capped_by)


def _distinct(refused: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(refused))


def weakest(values: Iterable[Value]) -> Value:
    """Return the lowest of the values on several paths, with all that each of them rests on.

    It is cut by devices only where each of the lowest is: else the part itself holds it.
    """
    several = list(values)
    lowest = min(several, key=lambda value: value.current)
    if len(several) == 1:
        return lowest
    ties = [value for value in several if value.current == lowest.current]
    held = next((value for value in ties if not value.capped_by), None)
    return (held or lowest)._replace(
        capped_by=() if held is not None else _distinct(name for value in ties for name in value.capped_by),
        relies_on=_distinct(name for value in several for name in value.relies_on),
        earthed=any(value.earthed for value in several),
        type_1=any(value.type_1 for value in several),
        unprotected=any(value.unprotected for value in several),
    )
