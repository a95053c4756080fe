"""UL 508A Supplement SB as a rule set: a panel in, a rating out."""

from collections.abc import Iterable
from dataclasses import dataclass

from sccr.adequacy import Adequacy
from sccr.adequacy import AvailableBasis
from sccr.adequacy import Comparison
from sccr.fault_current.at_supply import AtSupply
from sccr.panel.panel import Panel
from sccr.panel.voltage import Voltage
from sccr.result import ComponentValue
from sccr.result import Condition
from sccr.result import Finding
from sccr.result import LimitedBy
from sccr.result import Method
from sccr.result import NextLimit
from sccr.result import RatedCurrent
from sccr.result import Rating
from sccr.result import SupplyResult
from sccr.ul508a.assessment import LONGEST_STAIRCASE
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.assessment import assess
from sccr.ul508a.assessment import staircase
from sccr.ul508a.circuits import circuits
from sccr.ul508a.circuits import role
from sccr.ul508a.derivation import derivation
from sccr.ul508a.reasons import limited_by
from sccr.ul508a.rules.application_errors import application_errors
from sccr.ul508a.rules.available_fault_current import available_remarks
from sccr.ul508a.rules.available_fault_current import exceeded
from sccr.ul508a.rules.sb4_4_panel_rating import SupplyRating
from sccr.ul508a.rules.sb4_4_panel_voltage import panel_voltage
from sccr.ul508a.rules.sb4_4_panel_voltage import voltage_text
from sccr.ul508a.rules.sb5_conditions import conditions
from sccr.ul508a.rules.warnings import primary_voltages
from sccr.ul508a.rules.warnings import warnings
from sccr.ul508a.subject import subject
from sccr.ul508a.subject import system_text
from sccr.ul508a.tables import tables
from sccr.ul508a.value import Remark
from sccr.units import UNLIMITED
from sccr.units import current_text
from sccr.version import ENGINE_VERSION

STANDARD = "UL 508A, Supplement SB"


@dataclass(frozen=True, slots=True)
class UL508A:
    """One edition of the standard. `remarks`: what this edition adds to every rating (code, message)."""

    id: str
    title: str
    status: str
    remarks: tuple[tuple[str, str], ...] = ()

    @property
    def standard(self) -> str:
        """The standard that this is an edition of."""
        return STANDARD

    def tables_digest(self) -> str:
        """Return the digest of every table that the rules read."""
        return tables().digest

    def rate(self, panel: Panel) -> Rating:
        """Return the rating of a panel."""
        found = assess(subject(panel))
        remarks = [*application_errors(found)]
        withheld = found.scope.needless or any(remark.severity == "error" for remark in remarks)
        remarks += [
            *warnings(found),
            *primary_voltages(found.case),
            *available_remarks(found),
            *self._edition_remarks(),
        ]
        voltages = {} if withheld else _voltages(found)
        steps = () if withheld else _staircase(found, voltages)
        if len(steps) == LONGEST_STAIRCASE:
            text = f"next_limits is cut after {LONGEST_STAIRCASE} steps"
            remarks.append(Remark("note", "staircase-cut", None, "SB4.4", text))
        remarks += _comparison_remarks(found, withheld)
        return self._rating(found, withheld, voltages, steps, remarks)

    def _edition_remarks(self) -> Iterable[Remark]:
        return (Remark("note", code, None, "SB4.1", message) for code, message in self.remarks)

    def _rating(
        self,
        found: Assessment,
        withheld: bool,
        voltages: dict[str, str],
        steps: tuple[NextLimit, ...],
        remarks: list[Remark],
    ) -> Rating:
        panel = found.case.panel
        listed = tuple(circuits(found, withheld))
        headline = None if withheld else _rated(found.headline, voltages)
        held = () if headline is None else tuple(limited_by(found, limit) for limit in found.headline.limits)
        return Rating(
            status="withheld" if withheld else "rated",
            rating=headline,
            limited_by=held,
            next_limits=steps,
            adequacy=_adequacy(found, withheld),
            supplies=tuple(_supply(found, rating, voltages, withheld) for rating in found.supplies),
            circuits=listed,
            components=tuple(_components(found)),
            findings=tuple(Finding(r.severity, r.code, r.component, r.clause, r.message) for r in _sorted(remarks)),
            conditions=() if withheld else tuple(_conditions(found)),
            derivation=derivation(found, listed, withheld),
            options={
                "credit_feeder_components": panel.options.credit_feeder_components,
                "transformer_impedance_credit": panel.options.transformer_impedance_credit,
            },
            method=Method(STANDARD, self.id, ENGINE_VERSION, self.tables_digest(), panel.catalogue_digest),
            document_digest=panel.document_digest,
            panel=panel.identity,
        )


SEVERITIES = ("error", "warning", "note")


def _sorted(remarks: list[Remark]) -> list[Remark]:
    return sorted(dict.fromkeys(remarks), key=lambda remark: SEVERITIES.index(remark.severity))


def _marked_voltages(found: Assessment) -> dict[str, Voltage]:
    case = found.case
    return {s.id: panel_voltage(case, found.scope, found.values, found.after, s) for s in case.panel.supplies}


def _voltages(found: Assessment) -> dict[str, str]:
    marked = _marked_voltages(found)
    return {s.id: voltage_text(marked[s.id], s) for s in found.case.panel.supplies}


def _rated(rating: SupplyRating, voltages: dict[str, str]) -> RatedCurrent | None:
    return None if rating.current >= UNLIMITED else RatedCurrent(rating.current, voltages[rating.supply])


def _staircase(found: Assessment, voltages: dict[str, str]) -> tuple[NextLimit, ...]:
    return tuple(
        NextLimit(
            RatedCurrent(now.headline.current, voltages[now.headline.supply]),
            tuple(_limits(now)),
        )
        for now in staircase(found)
    )


def _limits(now: Assessment) -> Iterable[LimitedBy]:
    return (limited_by(now, limit) for limit in now.headline.limits)


def _supply(found: Assessment, rating: SupplyRating, voltages: dict[str, str], withheld: bool) -> SupplyResult:
    rated = None if withheld else _rated(rating, voltages)
    held = tuple(limited_by(found, limit) for limit in rating.limits) if rated is not None else ()
    return SupplyResult(rating.supply, rated, held, found.case.available[rating.supply].as_result())


def _conditions(found: Assessment) -> Iterable[Condition]:
    marked = _marked_voltages(found)
    return (Condition(c.code, c.component, c.text) for c in conditions(found, marked))


def _adequacy(found: Assessment, withheld: bool) -> Adequacy:
    comparisons = []
    for supply, rating in zip(found.case.panel.supplies, found.supplies, strict=True):
        at = found.case.available[supply.id]
        if at.current is not None and (withheld or rating.current < UNLIMITED):
            current, devices = None if withheld else rating.current, exceeded(found, supply)
            comparisons.append(Comparison(at.current, current, _how_found(at), supply.id, devices))
    target = found.case.panel.target
    headline = None if withheld else found.headline.current
    against = None if target is None else Comparison(target, headline, "the order's target")
    return Adequacy(tuple(comparisons), against)


def _how_found(at: AtSupply) -> str:
    found = at.calculation
    if found is None or at.basis is AvailableBasis.GIVEN:
        return "stated in the document"
    return f"computed from the source of the supply, method {found.method}"


def _comparison_remarks(found: Assessment, withheld: bool) -> list[Remark]:
    remarks = []
    adequacy = _adequacy(found, withheld)
    for comparison in adequacy.supplies if not withheld else ():
        if comparison.rating is not None and comparison.rating < comparison.current:
            text = f"supply {comparison.supply}: rated {current_text(comparison.rating)}, below the available"
            message = f"{text} {current_text(comparison.current)} (NEC 409.22(A), 670.5)"
            remarks.append(Remark("warning", "rating-below-available", None, "SB4.4", message))
    target = adequacy.target
    if target is not None and target.rating is not None and not target.adequate:
        text = f"rated {current_text(target.rating)}, below the order's target {current_text(target.current)}"
        remarks.append(Remark("warning", "rating-below-target", None, "SB4.4", text))
    return remarks


def _components(found: Assessment) -> Iterable[ComponentValue]:
    case = found.case
    for component in case.panel.components:
        name, value = component.id, found.values.get(component.id)
        exempt = name in found.scope.exempt
        counted = value is not None and not value.missing and name in found.scope.counted
        feeds = case.feeds.own[name]
        yield ComponentValue(
            id=name,
            kind=component.kind.name,
            role=role(case, component, exempt),
            voltage=system_text(feeds[0]),
            value=value.current if counted and value is not None else None,
            after=found.after[name].current if counted else None,
            basis="exempt" if exempt or value is None else value.basis.value,
            because=found.scope.exempt.get(name) or (value.because if value is not None else ""),
            sources=dict.fromkeys(sorted(component.from_catalogue), f"catalogue part {component.part}"),
        )
