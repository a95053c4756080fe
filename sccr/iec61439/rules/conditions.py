"""What must hold for the rating to be true, as the documentation of the assembly states it (method P5)."""

from collections.abc import Iterator
from collections.abc import Mapping

from sccr.iec61439.assessment import Assessment
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import ahead_of_protection
from sccr.panel.component import Component
from sccr.panel.naming import device_text
from sccr.panel.panel import Supply
from sccr.panel.voltage import SOLIDLY_GROUNDED_WYE
from sccr.rated_current import duration_text
from sccr.result import Condition
from sccr.units import ampere_rating_text
from sccr.units import current_text

RULE = "P5"


def conditions(found: Assessment, earthed: Mapping[str, bool]) -> Iterator[Condition]:
    """Yield the conditions: upstream protection, earthing, duration, devices relied on, coordination.

    earthed: whether a rating of each supply holds on an earthed system only.
    """
    for supply in found.case.panel.supplies:
        yield from _upstream(found, supply)
        if earthed[supply.id]:
            yield _earthing(supply)
        yield from _duration(found, supply)
    for name in relied_on(found):
        if name in found.case.one_line.components:
            text = f"{device_text(found.case.one_line.device(name))} to be replaced by the same type and rating only"
            code = "fuses" if found.case.one_line.device(name).kind.name == "fuse" else "protective-devices"
            yield Condition(code, name, text)
    for name, value in found.values.items():
        if value.type_1:
            text = f"{name} may need repair or replacement after a short circuit (coordination type 1)"
            yield Condition("coordination-type-1", name, text)


def relied_on(found: Assessment) -> tuple[str, ...]:
    """Return the devices that a value rests on, in the order of the diagram."""
    names = {device for value in found.values.values() for device in value.relies_on}
    return tuple(name for name in found.breaking if name in names)


def upstream_text(device: Component) -> str:
    """Return a device outside the assembly as its documentation names it: type, category or part, current rating."""
    what = device.kind.label
    if device.fuse_class:
        what = f"class {device.fuse_class} {what}"
    for word in (device.utilization_category, device.part):
        what += f" {word}" if word else ""
    return what + (f", {ampere_rating_text(device.amperes)} maximum" if device.amperes is not None else "")


def _upstream(found: Assessment, supply: Supply) -> Iterator[Condition]:
    device, one_line = supply.upstream_protection, found.case.one_line
    if device is None or not any(device.id in one_line.protection[name] for name in found.values):
        return
    text = f"supply {supply.id} to be protected by {upstream_text(device)}"
    value = found.breaking[device.id]
    if not value.missing:
        text += f", breaking at least {current_text(value.current)}"
    yield Condition("upstream-protection", supply.id, text)


def _earthing(supply: Supply) -> Condition:
    what = "a solidly earthed star" if supply.system is SOLIDLY_GROUNDED_WYE else "a system with an earthed neutral"
    text = f"supply {supply.id} to be {what}, {supply.voltage.text} maximum"
    return Condition("supply-grounding", supply.id, text)


def _duration(found: Assessment, supply: Supply) -> Iterator[Condition]:
    """Say how long a short circuit may last that only a device upstream of the assembly ends."""
    if ahead_of_protection(found.case, found.values, supply):
        time = "" if found.reference is None else f" within {duration_text(found.reference)}"
        text = f"a short circuit at supply {supply.id} to be cleared upstream of the assembly{time}"
        yield Condition("upstream-clearing", supply.id, text)
