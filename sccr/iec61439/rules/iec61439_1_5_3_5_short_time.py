"""IEC 61439-1, 5.3.5 and 10.11.2: rated short-time withstand currents (method W3a, W3b, W3c)."""

from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from operator import attrgetter

from sccr.iec61439.exact import root_down
from sccr.iec61439.rules.iec60947_2_breaking_capacities import earthed_only
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import peak_current
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import within_peak
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Basis
from sccr.iec61439.value import Value
from sccr.panel.component import Component
from sccr.panel.component import LetThrough
from sccr.panel.component import ShortTimeRating
from sccr.panel.naming import device_text
from sccr.panel.serving import serves_all
from sccr.rated_current import duration_text
from sccr.units import AMPERE
from sccr.units import MilliAmperes
from sccr.units import current_text

BEHIND_LIMITING, FOR_ITS_TIME, UNPROTECTED = "W3a", "W3b", "W3c"


def lowered_for(current: MilliAmperes, duration: Decimal, longer: Decimal) -> MilliAmperes:
    """Return a short-time current [mA rms] for another duration [s]: I²t constant, and only ever lowered.

    >>> lowered_for(10_000_000, Decimal(1), Decimal("0.2")), lowered_for(10_000_000, Decimal("0.1"), Decimal("0.4"))
    (10000000, 5000000)
    """
    if longer <= duration:
        return current
    return root_down(Fraction(current * current) * Fraction(duration) / Fraction(longer))


def rating_text(rating: ShortTimeRating) -> str:
    """Return a short-time rating in words, such as 'Icw 10 kA for 1 s'."""
    peak = f", Ipk {current_text(rating.peak)}" if rating.peak is not None else ""
    return f"Icw {current_text(rating.current)} for {duration_text(rating.duration)}{peak}"


def points_of(case: Subject, device: Component) -> tuple[LetThrough, ...]:
    """Return the let-through points of a device that fit its circuit, the lowest current first."""
    fed = case.feeds_of(device.id)
    points = [point for point in device.let_through if serves_all(point.voltage, point.supply, fed)]
    return tuple(sorted(points, key=attrgetter("available")))


def short_time_claims(
    case: Subject, part: Component, device: Component, breaks: Value, refused: list[str]
) -> Iterator[Value]:
    """Yield what each short-time rating of a part is worth behind a device; why others are not goes to `refused`."""
    points = points_of(case, device) if part.short_time_ratings else ()
    for rating in part.short_time_ratings:
        if breaks.missing:
            refused.append(f"{rating_text(rating)}: {device.id} has no breaking capacity that counts")
        elif not points and device.clearing_time is None:
            refused.append(f"{rating_text(rating)}: state clearing_time or let_through of {device.id}")
        else:
            yield from _behind_limiting(case, rating, device, points, breaks, refused)
            if device.clearing_time is not None:
                yield _for_its_time(case, rating, device, device.clearing_time, breaks)


def _behind_limiting(
    case: Subject,
    rating: ShortTimeRating,
    device: Component,
    points: tuple[LetThrough, ...],
    breaks: Value,
    refused: list[str],
) -> Iterator[Value]:
    """W3a: up to the last point, from the lowest upward, at which neither peak nor I²t is above those of the part."""
    if not points:
        return
    peak = rating.peak if rating.peak is not None else peak_current(case.tables.peak_factors, rating.current)
    square = Decimal(rating.current) ** 2 * rating.duration
    reached = last_passed(points, lambda point: point.peak <= peak and _joule_within(point, square))
    if reached is None:
        point = points[0]
        text = f"{device.id} lets through {_let_through_text(point)} at {current_text(point.available)} already"
        refused.append(f"{rating_text(rating)}: {text}")
        return
    because = (
        f"{rating_text(rating)}, not exceeded by what {device_text(device)} lets through up to "
        f"{current_text(reached.available)} ({_let_through_text(reached)})"
    )
    earthed = earthed_only(reached.voltage, case.feeds_of(device.id))
    yield capped(reached.available, BEHIND_LIMITING, Basis.LET_THROUGH, because, device, breaks, earthed)


def last_passed(points: Iterable[LetThrough], passes: Callable[[LetThrough], bool]) -> LetThrough | None:
    """Return the last point, from the lowest current upward, before one fails; all of one current pass together."""
    reached = None
    for _, several in groupby(points, key=attrgetter("available")):
        together = tuple(several)
        if not all(passes(point) for point in together):
            return reached
        reached = together[0]
    return reached


def _joule_within(point: LetThrough, square: Decimal) -> bool:
    """Whether a stated I²t [A²s] is within a square [mA²s]."""
    return point.i2t is not None and point.i2t * AMPERE * AMPERE <= square


def _let_through_text(point: LetThrough) -> str:
    joule = f"{point.i2t.normalize():f} A²s" if point.i2t is not None else "I²t not stated"
    return f"{current_text(point.peak)} peak, {joule}"


def capped(
    current: MilliAmperes,
    rule: str,
    basis: Basis,
    because: str,
    device: Component,
    breaks: Value,
    earthed: bool,
) -> Value:
    """Return a claim behind a device, worth no more than that breaks."""
    by: tuple[str, ...] = ()
    if breaks.current < current:
        by = (device.id,)
        because += f"; {device.id} breaks {current_text(breaks.current)}"
    limited = min(current, breaks.current)
    return Value(limited, rule, basis, because, capped_by=by, relies_on=(device.id,), earthed=earthed)


def _for_its_time(case: Subject, rating: ShortTimeRating, device: Component, clearing: Decimal, breaks: Value) -> Value:
    """W3b: for the time in which the device clears a short circuit."""
    current = lowered_for(rating.current, rating.duration, clearing)
    because = f"{rating_text(rating)}, {device_text(device)} clears in {duration_text(clearing)}"
    if current < rating.current:
        because += f": {current_text(current)} for that time"
    current, more = _within_stated_peak(case, rating, current)
    return capped(current, FOR_ITS_TIME, Basis.SHORT_TIME, because + more, device, breaks, False)


def _within_stated_peak(case: Subject, rating: ShortTimeRating, current: MilliAmperes) -> tuple[MilliAmperes, str]:
    if rating.peak is None:
        return current, ""
    within = within_peak(case.tables.peak_factors, current, rating.peak)
    return within, "" if within == current else f"; {current_text(within)} by its Ipk and Table 7"


def longest(part: Component) -> ShortTimeRating | None:
    """Return the short-time rating that counts ahead of every protective device: the longest, of these the highest."""
    ratings = part.short_time_ratings
    return max(ratings, key=lambda rating: (rating.duration, rating.current), default=None)


def unprotected_claims(case: Subject, part: Component, reference: Decimal) -> Iterator[Value]:
    """Yield what a part is worth ahead of every protective device for the reference duration [s] (W3c)."""
    rating = longest(part)
    if rating is None:
        return
    current = lowered_for(rating.current, rating.duration, reference)
    because = f"{rating_text(rating)}, ahead of every protective device"
    if current < rating.current:
        because += f": {current_text(current)} for {duration_text(reference)}"
    current, more = _within_stated_peak(case, rating, current)
    yield Value(current, UNPROTECTED, Basis.SHORT_TIME, because + more, unprotected=True)
