"""SB4.3: what current-limiting devices ahead of a circuit may credit it, as steps of let-through against level.

A profile is the credit to be had as a function of the weakest part: each step says that parts which withstand its
`peak` may be credited with its `level`. Along a path the best step counts (F9); where paths meet, the worst.
"""

from typing import NamedTuple

from sccr.panel.component import Component
from sccr.panel.serving import serves_all
from sccr.ul508a.rules.sb4_2_interrupting_ratings import in_non_rejecting_holder
from sccr.ul508a.rules.sb4_2_tested_combinations import fitted_rows
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import MilliAmperes
from sccr.units import MilliVolts


class CreditStep(NamedTuple):
    """Parts that withstand `peak` [mA, compared as numbers, F2] are credited with `level` [mA rms symmetrical].

    available: the column or published point [mA] that was read; given_by: the devices that it rests on.
    voltage: the highest circuit voltage [mV] for which the reading holds.
    """

    peak: MilliAmperes
    level: MilliAmperes
    available: MilliAmperes
    given_by: tuple[str, ...]
    clause: str
    voltage: MilliVolts


Profile = tuple[CreditStep, ...]


def credit(profile: Profile, weakest: MilliAmperes) -> CreditStep | None:
    """Return the best step that parts of at least `weakest` [mA] pass; equality passes."""
    best = None
    for step in profile:
        if step.peak > weakest:
            break
        best = step
    return best


def next_step(profile: Profile, weakest: MilliAmperes) -> CreditStep | None:
    """Return the first step that would give more and that parts of `weakest` [mA] do not pass."""
    taken = credit(profile, weakest)
    reached = 0 if taken is None else taken.level
    for step in profile:
        if step.peak > weakest and step.level > reached:
            return step
    return None


def best_of(one: Profile, other: Profile) -> Profile:
    """Return the better of two profiles at each let-through: devices in line, never compounded (F9).

    A step of equal level is kept where only the device's interrupting rating cuts it: the limit is then the device.
    """
    if not one or not other:
        return one or other
    steps = sorted((*one, *other), key=lambda step: (step.peak, -step.level))
    found: list[CreditStep] = []
    for step in steps:
        if not found or step.level > found[-1].level or _only_cut(step, found[-1]):
            found.append(step)
    return tuple(found)


def _only_cut(step: CreditStep, before: CreditStep) -> bool:
    return step.level == before.level < step.available and before.available < step.available


def worst_of(one: Profile, other: Profile) -> Profile:
    """Return the worse of two profiles at each let-through: a credit must hold on every path (settled 11)."""
    found: list[CreditStep] = []
    for peak in sorted({step.peak for step in (*one, *other)}):
        first, second = credit(one, peak), credit(other, peak)
        if first is None or second is None:
            continue
        lower = first if first.level <= second.level else second
        if not found or lower.level > found[-1].level:
            devices = tuple(dict.fromkeys((*first.given_by, *second.given_by)))
            voltage = min(first.voltage, second.voltage)
            found.append(CreditStep(peak, lower.level, lower.available, devices, lower.clause, voltage))
    return tuple(found)


def fuse_profile(case: Subject, fuse: Component, interrupting: Value) -> Profile:
    """SB4.3.3: the columns of Table SB4.2 for a class fuse, each up to its interrupting rating (F1, F4, F6)."""
    if in_non_rejecting_holder(case, fuse):
        return ()
    profile: Profile | None = None
    for row in fitted_rows(case, fuse):
        steps: Profile = ()
        for column in row.columns:
            level = min(column.available, interrupting.current)
            step = CreditStep(column.peak, level, column.available, (fuse.id,), "SB4.3.3", row.voltage)
            steps = best_of(steps, (step,))
        profile = steps if profile is None else worst_of(profile, steps)
    return profile or ()


def breaker_profile(case: Subject, breaker: Component, interrupting: Value) -> Profile:
    """SB4.3.2: the published points of a breaker marked current-limiting; between points the next higher one counts."""
    if not breaker.current_limiting:
        return ()
    fed = case.feeds_of(breaker.id)
    points = [p for p in breaker.let_through if serves_all(p.voltage, p.supply, fed)]
    profile: Profile = ()
    highest = 0
    for point in sorted(points, key=lambda p: (p.available, -p.peak)):
        highest = max(highest, point.peak)  # a curve cannot let through less at more: read on the safe side
        level = min(point.available, interrupting.current)
        step = CreditStep(highest, level, point.available, (breaker.id,), "SB4.3.2", point.voltage.line)
        profile = best_of(profile, (step,))
    return profile
