"""UL 508A Supplement SB as a rule set: a panel in, a rating out."""

from collections.abc import Sequence
from dataclasses import dataclass

from sccr.adequacy import Adequacy
from sccr.adequacy import AvailableBasis
from sccr.adequacy import Comparison
from sccr.fault_current.at_supply import AtSupply
from sccr.panel.panel import Panel
from sccr.result import Method
from sccr.result import Rating
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.assessment import assess
from sccr.ul508a.explanation import Explanation
from sccr.ul508a.rules.application_errors import application_errors
from sccr.ul508a.rules.available_fault_current import available_remarks
from sccr.ul508a.rules.available_fault_current import exceeded
from sccr.ul508a.rules.warnings import primary_voltages
from sccr.ul508a.rules.warnings import warnings
from sccr.ul508a.staircase import LONGEST_STAIRCASE
from sccr.ul508a.subject import subject
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
        added = [Remark("note", code, None, "SB4.1", message) for code, message in self.remarks]
        method = Method(STANDARD, self.id, ENGINE_VERSION, self.tables_digest(), panel.catalogue_digest)
        return rating_of(assess(subject(panel)), added, method)


def rating_of(found: Assessment, added: Sequence[Remark], method: Method) -> Rating:
    """Return the rating of a panel by what the clauses concluded.

    added: what an edition, or another standard that rates by these clauses, has to say beside them; an error of its
    own withholds the rating as one of theirs does.
    """
    errors = (*application_errors(found), *(remark for remark in added if remark.severity == "error"))
    withheld = found.scope.needless or any(remark.severity == "error" for remark in errors)
    explained = Explanation(found, withheld)
    adequacy, panel = _adequacy(found, withheld), found.case.panel
    return Rating.deferred(
        {**explained.makers(), "findings": lambda _: _findings(errors, added, explained, adequacy)},
        status="withheld" if withheld else "rated",
        rating=explained.rating,
        adequacy=adequacy,
        options={
            "credit_feeder_components": panel.options.credit_feeder_components,
            "transformer_impedance_credit": panel.options.transformer_impedance_credit,
        },
        method=method,
        document_digest=panel.document_digest,
        panel=panel.identity,
    )


def _findings(
    errors: Sequence[Remark], added: Sequence[Remark], explained: Explanation, adequacy: Adequacy
) -> tuple[Remark, ...]:
    """Return the errors, which decided, with the warnings and notes, which change no rating."""
    found = explained.found
    remarks = [*errors, *warnings(found), *primary_voltages(found.case), *available_remarks(found), *added]
    if len(explained.rungs) == LONGEST_STAIRCASE:
        text = f"next_limits is cut after {LONGEST_STAIRCASE} steps"
        remarks.append(Remark("note", "staircase-cut", None, "SB4.4", text))
    if not explained.withheld:
        remarks += _comparison_remarks(adequacy)
    return tuple(_sorted(remarks))


SEVERITIES = {"error": 0, "warning": 1, "note": 2}


def _sorted(remarks: list[Remark]) -> list[Remark]:
    return sorted(dict.fromkeys(remarks), key=lambda remark: SEVERITIES[remark.severity])


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


def _comparison_remarks(adequacy: Adequacy) -> list[Remark]:
    remarks = []
    for comparison in adequacy.supplies:
        if comparison.rating is not None and comparison.rating < comparison.current:
            text = f"supply {comparison.supply}: rated {current_text(comparison.rating)}, below the available"
            message = f"{text} {current_text(comparison.current)} (NEC 409.22(A), 670.5)"
            remarks.append(Remark("warning", "rating-below-available", None, "SB4.4", message))
    target = adequacy.target
    if target is not None and target.rating is not None and not target.adequate:
        text = f"rated {current_text(target.rating)}, below the order's target {current_text(target.current)}"
        remarks.append(Remark("warning", "rating-below-target", None, "SB4.4", text))
    return remarks
