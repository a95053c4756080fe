"""What changes no rating but must be seen."""

from collections.abc import Iterator

from sccr.iec61439.assessment import Assessment
from sccr.iec61439.rules.iec60909_0_transformers import TransformerResult
from sccr.iec61439.rules.iec61439_1_9_3_2_conditional import RULE_OF_COORDINATION
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Remark
from sccr.iec61439.value import Value
from sccr.iec61439.words import clause
from sccr.panel.component import Component
from sccr.panel.misapplied import unsuited_primary
from sccr.panel.panel import Supply
from sccr.units import current_text


def warnings(found: Assessment) -> Iterator[Remark]:
    """Yield every warning and note, component by component in the order of the diagram, then by supply."""
    case = found.case
    yield from _not_looked_up(case)
    for name, component in case.one_line.in_order():
        if component.exempt is not None:
            yield from _exempted(case, component)
        value = found.values.get(name)
        if value is not None:
            yield from _of_value(case, component, value)
    for result in found.transformers.values():
        yield from _of_transformer(case, result)
    for transformer in case.transformers:
        for message in unsuited_primary(transformer, case.feeds.incoming[transformer.id]):
            yield Remark("warning", "transformer-primary-voltage", transformer.id, clause(case.tables, "X3"), message)
    for supply in case.panel.supplies:
        yield from _of_supply(found, supply)
    yield _from_memory(case)


def _from_memory(case: Subject) -> Remark:
    message = "clauses and limits are cited from memory: hold the result against licensed copies of the standards"
    return Remark("note", "clauses-from-memory", None, clause(case.tables, "P1"), message)


def _not_looked_up(case: Subject) -> Iterator[Remark]:
    """A part number is only a label where no catalogue is given."""
    if case.panel.catalogue_digest is not None:
        return
    for component in case.panel.components:
        if component.part is not None and not component.kind.load and not _states_anything(component):
            message = (
                f"part {component.part} was not looked up: no catalogue was given, and the document states nothing"
            )
            yield Remark("warning", "part-not-looked-up", component.id, clause(case.tables, "W4"), message)


def _states_anything(part: Component) -> bool:
    return bool(part.breaking_capacities or part.conditional_ratings or part.short_time_ratings)


def _exempted(case: Subject, component: Component) -> Iterator[Remark]:
    exemption, cited = component.exempt, clause(case.tables, "X1")
    assert exemption is not None
    where = f", reference {exemption.reference}" if exemption.reference else ""
    message = f"exempted by the document: {exemption.reason}{where}"
    yield Remark("warning", "exempted", component.id, cited, message)
    if not exemption.reference:
        message = "the exemption names no reference: state where it is written"
        yield Remark("warning", "exemption-without-reference", component.id, cited, message)


def _of_value(case: Subject, component: Component, value: Value) -> Iterator[Remark]:
    if value.refused and not value.missing:
        message = f"not claimed: {'; '.join(value.refused)}"
        yield Remark("note", "rating-not-claimed", component.id, clause(case.tables, value.rule), message)
    if value.type_1:
        message = "its conditional rating states no coordination of type 2: after a short circuit it may need repair"
        cited = clause(case.tables, RULE_OF_COORDINATION)
        yield Remark("note", "coordination-type-1", component.id, cited, message)


def _of_transformer(case: Subject, result: TransformerResult) -> Iterator[Remark]:
    nameplate, name = case.one_line.components[result.transformer].transformer, result.transformer
    assert nameplate is not None
    cited = clause(case.tables, "T1")
    if nameplate.isolated is None:
        yield Remark("note", "isolation-not-stated", name, cited, "isolated is not stated: taken as two windings")
    if nameplate.volt_amperes is None:
        message = "kva is not stated: what the secondary can deliver is not known"
        yield Remark("warning", "transformer-size-missing", name, cited, message)
    if nameplate.impedance_percent is None:
        message = "no impedance is stated: what the secondary can deliver is not known"
        yield Remark("warning", "impedance-missing", name, cited, message)


def _of_supply(found: Assessment, supply: Supply) -> Iterator[Remark]:
    case, upstream = found.case, supply.upstream_protection
    if upstream is not None and found.breaking[upstream.id].missing:
        value = found.breaking[upstream.id]
        message = f"upstream protection is not relied on: {value.because}"
        yield Remark("warning", "upstream-not-relied-on", supply.id, clause(case.tables, value.rule), message)
    names = case.zones.get(supply.id, ())
    if not names:
        message = f"supply {supply.id} feeds nothing"
        yield Remark("note", "supply-without-load", None, clause(case.tables, "P1"), message)
    available = case.available[supply.id].current
    for name in names if available is not None else ():
        broken = found.values.get(name) if name in found.breaking else None
        if broken is not None and available is not None and 0 < broken.current < available:
            message = f"breaks {current_text(broken.current)}, below the available {current_text(available)}"
            cited = clause(case.tables, broken.rule)
            yield Remark("warning", "interrupting-below-available", name, cited, message)
