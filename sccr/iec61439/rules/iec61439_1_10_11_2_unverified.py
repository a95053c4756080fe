"""IEC 61439-1, 10.11.2 a) and b): plain conductors that need no verification (method E1, E2)."""

from sccr.iec61439.rules.iec60947_2_breaking_capacities import earthed_only
from sccr.iec61439.rules.iec61439_1_5_3_5_short_time import capped
from sccr.iec61439.rules.iec61439_1_5_3_5_short_time import last_passed
from sccr.iec61439.rules.iec61439_1_5_3_5_short_time import points_of
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Basis
from sccr.iec61439.value import Value
from sccr.panel.component import Component
from sccr.panel.naming import device_text
from sccr.units import current_text

UP_TO, BEHIND_LIMITING = "E1", "E2"


def unverified(case: Subject, part: Component, device: Component | None, breaks: Value | None) -> Value:
    """Return what a plain conductor is good for without verification: 10 kA, or more behind a limiting device.

    device: the protective device ahead at its voltage, None where there is none; breaks: what that device breaks.
    """
    limit = case.tables.limits.unverified_current
    because = f"{part.kind.label}: no verification needed up to {current_text(limit)}"
    plain = Value(limit, UP_TO, Basis.TABLE, because, unprotected=device is None)
    if device is None or breaks is None or breaks.missing:
        return plain
    limited = _behind_limiting(case, part, device, breaks)
    return limited if limited is not None and limited.current > plain.current else plain


def _behind_limiting(case: Subject, part: Component, device: Component, breaks: Value) -> Value | None:
    cut_off = case.tables.limits.unverified_cut_off
    reached = last_passed(points_of(case, device), lambda point: point.peak <= cut_off)
    if reached is None:
        return None
    because = (
        f"{part.kind.label}: {device_text(device)} lets through {current_text(reached.peak)} peak at "
        f"{current_text(reached.available)}, not above {current_text(cut_off)}: no verification needed"
    )
    earthed = earthed_only(reached.voltage, case.feeds_of(device.id))
    return capped(reached.available, BEHIND_LIMITING, Basis.LET_THROUGH, because, device, breaks, earthed)
