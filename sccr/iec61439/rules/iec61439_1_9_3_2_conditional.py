"""IEC 61439-1, 9.3.2: rated conditional short-circuit currents, each behind the device of its test (W1, W2)."""

from collections.abc import Iterator

from sccr.iec61439.rules.iec60947_2_breaking_capacities import earthed_only
from sccr.iec61439.rules.naming import not_named
from sccr.iec61439.rules.naming import specified_text
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Basis
from sccr.iec61439.value import Value
from sccr.panel.component import Component
from sccr.panel.component import ConditionalRating
from sccr.panel.naming import device_text
from sccr.panel.serving import serves_all
from sccr.panel.serving import system_text
from sccr.units import current_text

RULE = "W1"
RULE_OF_COORDINATION = "W2"
TYPE_2 = 2


def needs_type_2(case: Subject, part: Component) -> bool:
    """Return whether only what is coordinated by type 2 counts for a part, since the option asks for it (W2)."""
    return case.panel.options.coordination == TYPE_2 and case.tables.roles[part.kind.name].coordinated


def conditional_claims(
    case: Subject, part: Component, device: Component, breaks: Value, refused: list[str]
) -> Iterator[Value]:
    """Yield what each conditional rating of a part is worth behind a device; why others are not goes to `refused`.

    breaks: what the device breaks, back-up included.
    """
    for rating in part.conditional_ratings:
        asked = f"{current_text(rating.current)} at {rating.voltage.text} with {specified_text(rating.protected_by)}"
        reason = _refusal(case, part, rating, device, breaks)
        if reason:
            refused.append(f"{asked}: {reason}")
        else:
            yield _claim(case, part, rating, device, breaks)


def _refusal(case: Subject, part: Component, rating: ConditionalRating, device: Component, breaks: Value) -> str:
    fed = case.feeds_of(part.id)
    if not serves_all(rating.voltage, rating.supply, fed):
        return f"does not serve {system_text(fed[0])}"
    other = not_named(case, rating.protected_by, device)
    if other:
        return other
    if needs_type_2(case, part) and rating.coordination != TYPE_2:
        return "states no coordination of type 2, which the option coordination asks for"
    return f"{device.id} has no breaking capacity that counts" if breaks.missing else ""


def _claim(case: Subject, part: Component, rating: ConditionalRating, device: Component, breaks: Value) -> Value:
    because = f"conditional current {current_text(rating.current)} at {rating.voltage.text} with {device_text(device)}"
    if rating.coordination is not None:
        because += f", coordination type {rating.coordination}"
    capped: tuple[str, ...] = ()
    if breaks.current < rating.current:
        capped = (device.id,)
        because += f", which breaks {current_text(breaks.current)}"
    return Value(
        min(rating.current, breaks.current),
        RULE,
        Basis.TESTED_COMBINATION,
        because,
        capped_by=capped,
        relies_on=(device.id,),
        earthed=earthed_only(rating.voltage, case.feeds_of(part.id)),
        type_1=case.tables.roles[part.kind.name].coordinated and rating.coordination != TYPE_2,
    )
