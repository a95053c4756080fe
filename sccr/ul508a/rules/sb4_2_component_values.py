"""SB4.2: what each component is worth: marked, tested combination, or the assumed value of Table SB4.1 (R1 to R3)."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from sccr.panel.component import Component
from sccr.panel.component import ShortCircuitRating
from sccr.panel.feeds import Feed
from sccr.panel.serving import serves_all
from sccr.panel.serving import system_text
from sccr.panel.voltage import DC
from sccr.ul508a.rules.sb4_2_interrupting_ratings import own_rating
from sccr.ul508a.rules.sb4_2_scope import Scope
from sccr.ul508a.rules.sb4_2_series_ratings import with_series_rating
from sccr.ul508a.rules.sb4_2_tested_combinations import claim
from sccr.ul508a.rules.sb4_2_tested_combinations import specified_text
from sccr.ul508a.subject import Subject
from sccr.ul508a.tables import Assumed
from sccr.ul508a.value import LIFTED
from sccr.ul508a.value import MARKED
from sccr.ul508a.value import Basis
from sccr.ul508a.value import Value
from sccr.units import UNLIMITED
from sccr.units import current_text

CLAUSE = "SB4.2"
WATTS_PER_KILOWATT = 1_000


def component_values(case: Subject, scope: Scope) -> dict[str, Value]:
    """Return the value of every component that counts, and of every device that one of them rests on."""
    finder = _Finder(case, frozenset(), {})
    for supply in case.panel.supplies:
        if supply.upstream_protection is not None:
            finder.value(supply.upstream_protection)
    for name in case.one_line.order:
        if name in scope.counted and name not in finder.found:
            finder.value(case.one_line.components[name])
    return finder.found


def component_value(case: Subject, component: Component, lifted: frozenset[str]) -> Value:
    """Return the value of one component, with the devices in `lifted` taken as good for any current."""
    return _Finder(case, lifted, {}).value(component)


def protectors(case: Subject, component: Component) -> list[Component | None]:
    """Return the devices that protect a part: the nearest ahead, or the fuses that a holder carries (settled 9).

    A device on the other side of a transformer does not see the part's fault as it was tested: None.
    """
    if component.kind.carries_fuse:
        return list(case.one_line.carried_fuses(component.id))
    nearest = case.one_line.nearest_protection(component.id)
    return [
        case.one_line.device(name) if name is not None and case.same_zone(component.id, name) else None
        for name in nearest
    ]


def lift(case: Subject, values: dict[str, Value], lifted: frozenset[str], moved: Iterable[str]) -> None:
    """Find the values of `moved` again in `values`, with the parts in `lifted` out of the way."""
    again = []
    for name in moved:
        if name in lifted and name not in case.upstream:
            values[name] = LIFTED
        else:
            del values[name]
            again.append(name)
    finder = _Finder(case, lifted, values)
    for name in again:
        finder.value(case.one_line.device(name))


@dataclass(frozen=True, slots=True)
class _Finder:
    """Values found so far, line side first, so that what a part rests on is known when it is asked for."""

    case: Subject
    lifted: frozenset[str]
    found: dict[str, Value]

    def value(self, component: Component) -> Value:
        known = self.found.get(component.id)
        if known is None:
            known = self.found[component.id] = self._worked_out(component)
        return known

    def _worked_out(self, component: Component) -> Value:
        if component.kind.overcurrent:
            return self._interrupting_rating(component)
        return LIFTED if component.id in self.lifted else self._marked_or_assumed(component)

    def _interrupting_rating(self, device: Component) -> Value:
        outside = device.id in self.case.upstream
        if outside and device.kind.name == "circuit_breaker" and not device.interrupting_ratings:
            return Value(0, Basis.MISSING, "a breaker outside the panel needs a stated interrupting rating")
        own = own_rating(self.case, device, self.lifted)
        if outside or device.id in self.lifted or not device.series_ratings:
            return own
        return self._behind_upstream(own, with_series_rating(self.case, device, own))

    def _behind_upstream(self, own: Value, value: Value) -> Value:
        """A series rating behind a device outside the panel is worth no more than that device interrupts.

        Where that is no more than the device's `own` rating, which rests on nothing, that one stays.
        """
        if not value.relies_on:
            return value
        outside = [name for name in value.relies_on if name not in self.case.one_line.components]
        limit = min((self.value(self.case.one_line.device(name)).current for name in outside), default=UNLIMITED)
        if limit >= value.current:
            return value
        if limit <= own.current:
            refused = f"{value.because}: {outside[0]} interrupts no more than {current_text(limit)}"
            return own._replace(refused=(*value.refused, refused))
        return value._replace(current=limit, capped_by=outside[0])

    def _marked_or_assumed(self, component: Component) -> Value:
        fed = self.case.feeds_of(component.id)
        ratings = component.short_circuit_ratings
        if component.interrupting_ratings:
            ratings = (*ratings, *_interrupting(component))
        serving, refused, holding = [], [], []
        for rating in ratings:
            if serves_all(rating.voltage, rating.supply, fed):
                serving.append(rating)
            else:
                refused.append(_does_not_serve(rating, fed[0]))
        for rating in serving:
            value = self._held(component, rating, refused)
            if value is not None:
                holding.append(value)
        if len(holding) == 1 and holding[0].basis is MARKED:
            (only,) = holding
            if not refused:
                return only
            return Value(only.current, MARKED, only.because, only.voltage, tuple(refused), unconditional=only.current)
        if holding:
            best = max(holding, key=lambda value: (value.current, value.basis is MARKED))
            plain = max((value.current for value in holding if value.basis is MARKED), default=0)
            cuts = tuple(value.capped_by for value in holding if value.capped_by is not None)
            return best._replace(unconditional=plain, refused=tuple(refused), cuts=cuts)
        return self._fallback(component, ratings, serving)._replace(refused=tuple(refused))

    def _held(self, component: Component, rating: ShortCircuitRating, refused: list[str]) -> Value | None:
        """Return what a rating is worth here, or None, with the reason added to `refused`."""
        if rating.protected_by is None:
            because = f"marked {current_text(rating.current)} at {rating.voltage.text}"
            return Value(rating.current, MARKED, because, rating.voltage, unconditional=rating.current)
        devices = protectors(self.case, component)
        asked = f"{current_text(rating.current)} with {specified_text(rating.protected_by)}"
        if not devices or any(device is None for device in devices):
            refused.append(f"{asked}: no such device protects it")
            return None
        current, reasons, capped_by = rating.current, [], None
        for device in devices:
            assert device is not None
            claimed = claim(self.case, rating.protected_by, rating.current, device)
            if claimed.current == 0:
                refused.append(f"{asked}: {claimed.because}")
                return None
            interrupts = self.value(device)
            if interrupts.missing:
                refused.append(f"{asked}: what {device.id} interrupts is not known")
                return None
            if min(claimed.current, interrupts.current) < current:
                current = min(claimed.current, interrupts.current)
                capped_by = device.id if interrupts.current < claimed.current else None
            reasons.append(claimed.because)
        because = f"marked {asked}: {'; '.join(dict.fromkeys(reasons))}"
        if capped_by:
            because += f", which interrupts {current_text(current)}"
        names = tuple(device.id for device in devices if device is not None)
        basis = Basis.TESTED_COMBINATION
        return Value(current, basis, because, rating.voltage, capped_by=capped_by, relies_on=names) if current else None

    def _fallback(
        self, component: Component, ratings: tuple[ShortCircuitRating, ...], serving: list[ShortCircuitRating]
    ) -> Value:
        """Return the assumed value where nothing is marked without condition, else what is missing (R2)."""
        if ratings and not serving:
            because = f"no marked rating serves {system_text(self.case.feeds_of(component.id)[0])}"
            return Value(0, Basis.MISSING, because, code="voltage-above-rating")
        if any(rating.protected_by is None for rating in ratings):
            because = "its unconditional marking is below the circuit's voltage, and no tested combination holds"
            return Value(0, Basis.MISSING, because, code="voltage-above-rating")
        value = _assumed(self.case, component)
        highest = max((rating.current for rating in serving), default=value.current)
        if highest >= value.current:
            return value
        because = f"{value.because}, but no more than its marked {current_text(highest)}"
        return value._replace(current=highest, because=because)


def _does_not_serve(rating: ShortCircuitRating, feed: Feed) -> str:
    return f"{current_text(rating.current)} at {rating.voltage.text}: does not serve {system_text(feed)}"


def _interrupting(component: Component) -> Iterable[ShortCircuitRating]:
    """Return a controller's or supplementary protector's interrupting ratings, read as unconditional ones."""
    return (ShortCircuitRating(r.current, r.voltage, r.supply) for r in component.interrupting_ratings)


def _assumed(case: Subject, component: Component) -> Value:
    """Return the assumed value of an unmarked part (Table SB4.1), nothing for DC or for a kind without a row."""
    label = component.kind.label
    if any(feed.system is DC for feed in case.feeds_of(component.id)):
        because = f"unmarked {label} in a DC circuit: only a rating marked for DC serves"
        return Value(0, Basis.MISSING, because, code="no-dc-rating")
    row = case.tables.scope[component.kind.name]
    if row.assumed_row is None:
        because = f"unmarked {label}: Table SB4.1 assumes nothing for it; state short_circuit_ratings"
        return Value(0, Basis.MISSING, because, code="no-rating")
    assumed = assumed_row(case.tables.assumed[row.assumed_row], component)
    if assumed is None:
        because = f"unmarked {label} beyond the last row of Table SB4.1: state short_circuit_ratings"
        return Value(0, Basis.MISSING, because, code="no-rating")
    band = f", {assumed.condition}" if assumed.condition else ""
    because = f"unmarked {label}{band}: {current_text(assumed.current)}, Table SB4.1"
    return Value(assumed.current, Basis.TABLE, because, component.voltage)


def assumed_row(rows: tuple[Assumed, ...], component: Component) -> Assumed | None:
    """Return the first row whose limits the part is not known to exceed: unknown sizes take the lowest value."""
    return next((row for row in rows if not _exceeds(row, component)), None)


def _exceeds(row: Assumed, component: Component) -> bool:
    volts = Decimal(component.voltage.line) / 1_000 if component.voltage else None
    amperes = Decimal(component.amperes) / 1_000 if component.amperes is not None else None
    kva = volts * amperes / 1_000 if volts is not None and amperes is not None else None
    power = component.power
    return (
        _above(power.horsepower if power else None, row.up_to_hp)
        or (power is not None and power.watts is not None and _reaches(power.watts, row.below_kw))
        or _above(volts, row.up_to_v)
        or _above(amperes, row.up_to_a)
        or _above(kva, row.up_to_kva)
    )


def _above(known: Decimal | None, limit: Decimal | None) -> bool:
    return known is not None and limit is not None and known > limit


def _reaches(watts: Decimal, below_kw: Decimal | None) -> bool:
    return below_kw is not None and watts >= below_kw * WATTS_PER_KILOWATT
