"""Marking: what must hold in the field for the rating to be true (method, sections 7 and 9, F8)."""

from collections.abc import Iterator

from sccr.panel.component import Component
from sccr.panel.panel import Supply
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.result import Condition
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.rules.sb4_2_tested_combinations import fitted_rows
from sccr.ul508a.rules.sb4_3_branch_credits import branch_devices_outside
from sccr.units import ampere_rating_text
from sccr.units import current_text


def conditions(found: Assessment, voltages: dict[str, Voltage]) -> Iterator[Condition]:
    """Yield the conditions: upstream protection that was relied on, grounding of the supply, fuses and holders."""
    rests_on = relied_on(found)
    for supply in found.case.panel.supplies:
        yield from _upstream(found, supply, rests_on)
        yield from _grounding(supply, voltages[supply.id])
    for name, component in found.case.one_line.in_order():
        if component.kind.name == "fuse" and name in found.scope.counted:
            yield from _fuse(found, component, rests_on)


def relied_on(found: Assessment) -> set[str]:
    """Return the devices that this rating rests on: by a tested combination, or by a credit that it needs."""
    rated = max(rating.current for rating in found.supplies)
    names = {device for result in found.transformers.values() for device in result.relies_on}
    for name in found.scope.counted:
        value, step = found.values[name], found.after[name].step
        if value.relies_on:
            names.update(value.relies_on)
        if step is not None and value.current < rated:
            names.update(step.given_by)
    return names


def _upstream(found: Assessment, supply: Supply, rests_on: set[str]) -> Iterator[Condition]:
    device = supply.upstream_protection
    if device is None:
        return
    if supply.id in branch_devices_outside(found.case) or device.id in rests_on:
        text = f"supply {supply.id} to be protected by {upstream_text(device)}"
        yield Condition("upstream-protection", supply.id, text)


def upstream_text(device: Component) -> str:
    """Return a field-installed device as the nameplate names it: type, class or part, maximum amperes."""
    what = f"class {device.fuse_class} fuse" if device.kind.name == "fuse" else device.kind.label
    if device.part:
        what += f" {device.part}"
    return what + (f", {ampere_rating_text(device.amperes)} maximum" if device.amperes is not None else "")


def _grounding(supply: Supply, voltage: Voltage) -> Iterator[Condition]:
    if voltage.form is Form.WYE:
        text = f"supply {supply.id} to be a solidly grounded wye, {voltage.text} maximum"
        yield Condition("supply-grounding", supply.id, text)
    elif voltage.form is Form.THREE_WIRE or supply.system is System.SINGLE_PHASE_THREE_WIRE:
        text = f"supply {supply.id} to be single-phase three-wire with grounded neutral, {voltage.text} maximum"
        yield Condition("supply-grounding", supply.id, text)


def _fuse(found: Assessment, fuse: Component, rests_on: set[str]) -> Iterator[Condition]:
    """Name the fuses that the rating rests on, and the holder that the document does not show."""
    if fuse.fuse_class is None or fuse.amperes is None:
        return
    holders = found.case.one_line.holders(fuse.id)
    unknown = not holders or any(holder.fuse_class is None for holder in holders)
    if fuse.id in rests_on or (unknown and fitted_rows(found.case, fuse)):
        text = f"{fuse.id} to be fitted with class {fuse.fuse_class} fuses, {ampere_rating_text(fuse.amperes)} maximum"
        if unknown:
            text += f", in a rejection-type holder rated at least {current_text(found.values[fuse.id].current)}"
        yield Condition("fuses", fuse.id, text)
