"""SB4.2: tested series ratings of breakers (UL 489), which raise an interrupting rating behind a named device.

The motors between the two devices may feed a fault that the lower one alone must clear: where they contribute more
than 1 % of its own rating the combination is refused (NFPA 70, 240.86(C); method, section 5, settled 17).
"""

from decimal import Decimal
from itertools import islice

from sccr.panel.component import Component
from sccr.panel.component import SeriesRating
from sccr.panel.naming import device_text
from sccr.panel.serving import serves_all
from sccr.panel.serving import system_text
from sccr.ul508a.rules.sb4_2_tested_combinations import named_device
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Basis
from sccr.ul508a.value import Value
from sccr.units import MilliAmperes
from sccr.units import current_text

CLAUSE = "SB4.2"
#: How many motors a finding names.
NAMED_MOTORS = 5


def with_series_rating(case: Subject, device: Component, own: Value) -> Value:
    """Return the interrupting rating of a device with the best series rating that holds; each refused one is kept."""
    if own.missing or not device.series_ratings:
        return own
    best, refused = own, list(own.refused)
    for series in device.series_ratings:
        reason = refusal(case, device, series, own.current)
        if reason:
            refused.append(f"series rating {current_text(series.current)}: {reason}")
        elif series.current > best.current:
            ahead = tuple(name for name in case.one_line.nearest_protection(device.id) if name)
            text = f"series rating {current_text(series.current)} at {series.voltage.text} behind "
            text += " and ".join(device_text(case.one_line.device(name)) for name in ahead)
            because = f"{text}, reference {series.reference}"
            best = Value(series.current, Basis.SERIES_RATING, because, series.voltage, relies_on=ahead)
    return best._replace(refused=tuple(refused))


def refusal(case: Subject, device: Component, series: SeriesRating, own: MilliAmperes) -> str:
    """Return why a series rating does not hold, or nothing where it does."""
    if not series.reference:
        return "states no reference of its test"
    fed = case.feeds_of(device.id)
    if not serves_all(series.voltage, series.supply, fed):
        return f"marked at {series.voltage.text}, does not serve {system_text(fed[0])}"
    for name in case.one_line.nearest_protection(device.id):
        if name is None or not case.same_zone(device.id, name):
            return "no device stands ahead of it at its voltage on every path"
        other = named_device(series.line_side, case.one_line.device(name), case)
        if other is not None:
            return other.because
        motors = motor_current_between(case, name, device.id)
        if motors * 100 > own * case.tables.limits["series_motor_contribution"]:
            share = f"{Decimal(motors) * 100 / own:.2f} %" if own else "more"
            return f"motors of {current_text(motors)} between the devices are {share} of its own rating, above 1 %"
    return ""


def motor_current_between(case: Subject, line_side: str, device: str) -> MilliAmperes:
    """Return the stated full-load current [mA] of the motors behind the line-side device, less those of `device`."""
    ahead, behind = case.one_line.motors_behind(line_side), case.one_line.motors_behind(device)
    return ahead.full_load_current - behind.full_load_current


def motors_unstated_between(case: Subject, line_side: str, device: str) -> list[str]:
    """Return the first few of those motors whose full-load current is not stated."""
    own = set(case.one_line.motors_behind(device).unstated)
    between = (name for name in case.one_line.motors_behind(line_side).unstated if name not in own)
    return list(islice(between, NAMED_MOTORS))
