"""IEC 60947-2, Annex A: a device that rests on the one ahead of it, tested with it (method B6)."""

from collections.abc import Mapping

from sccr.iec61439.rules.iec60947_2_breaking_capacities import earthed_only
from sccr.iec61439.rules.naming import not_named
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Basis
from sccr.iec61439.value import Value
from sccr.panel.component import BackUpRating
from sccr.panel.component import Component
from sccr.panel.naming import device_text
from sccr.panel.serving import serves_all
from sccr.panel.serving import system_text
from sccr.units import current_text

RULE = "B6"


def with_back_up(case: Subject, device: Component, own: Value, breaking: Mapping[str, Value]) -> Value:
    """Return what a device breaks with the best back-up that holds; each refused one is kept.

    breaking: what the devices ahead of it break.
    """
    if own.missing or not device.back_up_ratings:
        return own
    best, refused = own, list(own.refused)
    for rating in device.back_up_ratings:
        found = _held(case, device, rating, breaking)
        if isinstance(found, str):
            refused.append(f"back-up rating {current_text(rating.current)}: {found}")
        elif found.current > best.current:
            best = found
    return best._replace(refused=tuple(refused))


def _held(case: Subject, device: Component, rating: BackUpRating, breaking: Mapping[str, Value]) -> Value | str:
    """Return what a back-up rating is worth here, or why it does not hold."""
    fed = case.feeds_of(device.id)
    if not serves_all(rating.voltage, rating.supply, fed):
        return f"at {rating.voltage.text}, does not serve {system_text(fed[0])}"
    ahead = []
    for name in case.one_line.nearest_protection(device.id):
        if name is None or not case.same_zone(device.id, name):
            return "no device stands ahead of it at its voltage on every path"
        reason = not_named(case, rating.line_side, case.one_line.device(name))
        if reason:
            return reason
        ahead.append(name)
    lowest = min(breaking[name].current for name in ahead)
    behind = " and ".join(device_text(case.one_line.device(name)) for name in ahead)
    because = f"back-up rating {current_text(rating.current)} at {rating.voltage.text} behind {behind}"
    if rating.reference:
        because += f", reference {rating.reference}"
    capped: tuple[str, ...] = ()
    if lowest < rating.current:
        capped = tuple(name for name in ahead if breaking[name].current == lowest)
        because += f", which breaks {current_text(lowest)}"
    earthed = earthed_only(rating.voltage, fed)
    current = min(rating.current, lowest)
    return Value(current, RULE, Basis.BACK_UP, because, capped_by=capped, relies_on=tuple(ahead), earthed=earthed)
