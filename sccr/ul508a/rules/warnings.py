"""What changes no rating but must be seen (method, section 8, and the readings that name a warning)."""

from collections.abc import Iterator

from sccr.panel.component import Component
from sccr.panel.component import Position
from sccr.panel.misapplied import unsuited_primary
from sccr.panel.panel import Supply
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.rules.sb4_2_series_ratings import motors_unstated_between
from sccr.ul508a.rules.sb4_3_1_transformers import TransformerResult
from sccr.ul508a.rules.sb4_3_branch_credits import held_to_interrupt
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import MARKED
from sccr.ul508a.value import SERIES_RATING
from sccr.ul508a.value import TESTED_COMBINATION
from sccr.ul508a.value import Remark
from sccr.units import current_text

DEFAULT_ACCESSORIES = 1


def warnings(found: Assessment) -> Iterator[Remark]:
    """Yield every warning and note, component by component in the order of the diagram, then by supply."""
    case = found.case
    yield from _not_looked_up(case)
    for name, component in case.one_line.in_order():
        if component.exempt is not None or component.accessories or component.position or component.control:
            yield from _of_component(found, component)
        if name in found.scope.counted:
            own = component.kind.name == "fuse" or component.position or component.kind.supplementary
            if own or component.series_ratings or found.values[name].refused:
                yield from _of_counted(found, component)
    for result in found.transformers.values():
        yield from _of_transformer(case, result)
    if case.panel.options.credit_feeder_components:
        message = "option credit_feeder_components is on: sources disagree on crediting feeder components"
        yield Remark("warning", "feeder-components-credited", None, "SB4.3.3", message)
    for supply in case.panel.supplies:
        yield from _of_supply(found, supply)


def _not_looked_up(case: Subject) -> Iterator[Remark]:
    """A part number is only a label where no catalogue is given: what it leaves unstated is assumed."""
    if case.panel.catalogue_digest is None:
        parts = [c for c in case.panel.components if c.part is not None and not c.kind.load and not _marked(c)]
        for component in parts:
            message = f"part {component.part} was not looked up: no catalogue was given, and the document marks nothing"
            yield Remark("warning", "part-not-looked-up", component.id, "SB4.2", message)


def _marked(component: Component) -> bool:
    return bool(component.interrupting_ratings or component.short_circuit_ratings or component.fuse_class)


def _of_component(found: Assessment, component: Component) -> Iterator[Remark]:
    exemption = component.exempt
    if exemption is not None:
        where = f", reference {exemption.reference}" if exemption.reference else ""
        message = f"exempted by the document: {exemption.reason}{where}"
        yield Remark("warning", "exempted", component.id, "SB4.2", message)
        if not exemption.reference:
            message = "the exemption names no reference: state where it is written"
            yield Remark("warning", "exemption-without-reference", component.id, "SB4.2", message)
    limit = component.accessory_limit if component.accessory_limit is not None else DEFAULT_ACCESSORIES
    if component.kind.accessories and len(component.accessories) > limit:
        message = f"{len(component.accessories)} accessories stated; it takes {limit}"
        yield Remark("warning", "too-many-accessories", component.id, "SB4.2", message)
    if component.position is Position.WYE_POINT and component.kind.name != "contactor":
        message = f"position wye_point exempts a contactor only; this {component.kind.label} counts"
        yield Remark("warning", "position-without-effect", component.id, "SB4.2", message)
    tapping = component.protective or component.kind.carries_fuse
    if component.control and component.id in found.scope.counted and not tapping:
        message = "marked control, but no device of its own protects the control circuit ahead of it: it counts"
        yield Remark("warning", "control-circuit-not-separate", component.id, "SB4.2", message)


def _of_counted(found: Assessment, component: Component) -> Iterator[Remark]:
    value = found.values[component.id]
    if value.refused and value.basis not in (TESTED_COMBINATION, SERIES_RATING):
        severity = "note" if value.basis is MARKED and not component.series_ratings else "warning"
        message = f"not claimed: {'; '.join(value.refused)}"
        yield Remark(severity, "rating-not-claimed", component.id, "SB4.2", message)
    if component.kind.name == "fuse":
        yield from _of_fuse(found.case, component)
    if value.basis is SERIES_RATING:
        yield from _motors_unstated(found.case, component)
    if component.position is not None and component.position is Position.DRIVE_OUTPUT:
        message = "on the output of a drive: not settled whether it needs a rating; it counts"
        yield Remark("note", "drive-output-counted", component.id, "SB4.2", message)
    if component.kind.supplementary:
        yield from _supplementary_behind_feeder(found.case, component)


def _of_fuse(case: Subject, fuse: Component) -> Iterator[Remark]:
    holders = case.one_line.holders(fuse.id)
    if not holders:
        message = "no fuseholder in the document: its rating rests on a rejection-type holder"
        yield Remark("warning", "fuse-without-holder", fuse.id, "SB4.2", message)
    for holder in holders:
        if holder.fuse_class is None:
            message = f"{fuse.id} rests on a holder that rejects lower classes: state fuse_class of the holder"
            yield Remark("warning", "holder-class-unknown", holder.id, "SB4.2", message)


def _motors_unstated(case: Subject, device: Component) -> Iterator[Remark]:
    for name in case.one_line.nearest_protection(device.id):
        unstated = motors_unstated_between(case, name, device.id) if name is not None else []
        if unstated:
            message = f"full-load current not stated for {', '.join(unstated)}: NEC 240.86(C) cannot be checked"
            yield Remark("warning", "series-motors-unknown", device.id, "SB4.2", message)


def _supplementary_behind_feeder(case: Subject, component: Component) -> Iterator[Remark]:
    ahead = [name for name in case.one_line.nearest_protection(component.id) if name is not None]
    feeders = [name for name in ahead if name in case.one_line.power_protection_behind]
    if feeders and not component.control:
        message = f"a supplementary protector behind {', '.join(feeders)}, which also feeds branch devices"
        yield Remark("warning", "supplementary-behind-feeder", component.id, "SB4.2", message)


def _of_transformer(case: Subject, result: TransformerResult) -> Iterator[Remark]:
    nameplate = case.one_line.components[result.transformer].transformer
    if nameplate is None or not result.rule:
        return
    clause, name = "SB4.3.1", result.transformer
    if nameplate.isolated is None:
        yield Remark("note", "isolation-not-stated", name, clause, "isolated is not stated: taken as two windings")
    if nameplate.volt_amperes is None:
        yield Remark("warning", "transformer-size-missing", name, clause, "kva is not stated: no size rule applies")
    if nameplate.impedance_percent is None and result.rule != "T1":
        message = "no %Z is stated: what the secondary can deliver is not known"
        yield Remark("warning", "impedance-missing", name, clause, message)
    if result.rule == "T2":
        yield from _of_t2(result)


def _of_t2(result: TransformerResult) -> Iterator[Remark]:
    for secondary in result.secondaries:
        if secondary.deliverable is not None and secondary.deliverable > secondary.lowest:
            message = f"{secondary.winding} can deliver {current_text(secondary.deliverable)}, above its weakest part"
            text = f"{message} of {current_text(secondary.lowest)}, though the size rule passes it"
            yield Remark("warning", "secondary-delivers-more", result.transformer, "SB4.3.1", text)


def primary_voltages(case: Subject) -> Iterator[Remark]:
    """Yield transformers whose stated primary does not suit the circuit that feeds them."""
    for component in case.transformers:
        for message in unsuited_primary(component, case.feeds.incoming[component.id]):
            yield Remark("warning", "transformer-primary-voltage", component.id, "SB4.3.1", message)


def _of_supply(found: Assessment, supply: Supply) -> Iterator[Remark]:
    """IR below the available current (NEC 110.9) at the supply's own voltage."""
    upstream = supply.upstream_protection
    if upstream is not None and found.values[upstream.id].missing:
        message = f"upstream protection is not relied on: {found.values[upstream.id].because}"
        yield Remark("warning", "upstream-not-relied-on", supply.id, "SB4.3", message)
    available = found.case.available[supply.id].current
    names = found.case.zones.get(supply.id, ())
    if not names:
        yield Remark("note", "supply-without-load", None, "SB4.4", f"supply {supply.id} feeds nothing")
    if available is None:
        return
    for name in names:
        if name not in found.scope.counted:
            continue
        current = found.values[name].current
        below = 0 < current < available
        if below and held_to_interrupt(found.case, found.case.one_line.components[name]):
            message = f"interrupts {current_text(current)}, below the available {current_text(available)} (NEC 110.9)"
            yield Remark("warning", "interrupting-below-available", name, "SB4.2", message)
