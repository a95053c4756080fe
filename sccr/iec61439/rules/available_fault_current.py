"""IEC 60909-0: the current available at each supply, and the rating held against it (P4). It changes no rating."""

from collections.abc import Iterator

from sccr.adequacy import Adequacy
from sccr.adequacy import AvailableBasis
from sccr.adequacy import Comparison
from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.site import Method
from sccr.iec61439.assessment import Assessment
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import peak_current
from sccr.iec61439.value import Remark
from sccr.iec61439.words import clause
from sccr.panel.panel import Supply
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes
from sccr.units import current_text

RULE, RULE_OF_PEAK = "P4", "P3"


def adequacy(found: Assessment, withheld: bool) -> Adequacy:
    """Return the ratings held against the available currents and the order's target."""
    comparisons = []
    for supply, rating in zip(found.case.panel.supplies, found.supplies, strict=True):
        at = found.case.available[supply.id]
        if at.current is not None and (withheld or rating.current < UNLIMITED):
            current = None if withheld else rating.current
            comparisons.append(Comparison(at.current, current, _how_found(at), supply.id))
    target = found.case.panel.target
    headline = None if withheld else found.headline.current
    against = None if target is None else Comparison(target, headline, "the order's target")
    return Adequacy(tuple(comparisons), against)


def _how_found(at: AtSupply) -> str:
    if at.calculation is None or at.basis is AvailableBasis.GIVEN:
        return "stated in the document"
    return f"computed from the source of the supply, method {at.calculation.method}"


def available_remarks(found: Assessment, withheld: bool) -> Iterator[Remark]:
    """Yield what is to be said of the currents that are computed, supply by supply."""
    cited = clause(found.case.tables, RULE)
    for supply, rating in zip(found.case.panel.supplies, found.supplies, strict=True):
        at = found.case.available[supply.id]
        if at.calculation is not None:
            yield from _of_calculation(supply, at, cited)
            if not withheld and rating.current < UNLIMITED:
                yield from _of_peak(found, supply, at, rating.current)


def _of_calculation(supply: Supply, at: AtSupply, cited: str) -> Iterator[Remark]:
    calculation = at.calculation
    assert calculation is not None
    if supply.source is not None and supply.source.method is not Method.IEC_60909:
        message = f"supply {supply.id}: its source is calculated by IEC 60909-0 here, not by {supply.source.method}"
        yield Remark("note", "fault-current-method", None, cited, message)
    if calculation.available is None:
        codes = ", ".join(sorted({each.code for each in calculation.findings if each.severity == "error"}))
        stated = "" if at.stated is None else "; the current that is stated counts"
        message = f"supply {supply.id}: no current can be computed from its source ({codes}){stated}"
        yield Remark("warning", "fault-current-not-established", None, cited, message)
    elif at.stated is not None and at.stated != calculation.available:
        counts = "computed" if at.basis is AvailableBasis.COMPUTED else "stated"
        both = f"{current_text(at.stated)} is stated and {current_text(calculation.available)} computed"
        message = f"supply {supply.id}: {both} from its source: the {counts} one counts"
        yield Remark("warning", "fault-currents-differ", None, cited, message)
    for each in calculation.findings:
        if each.severity != "note" and each.code not in _TOLD_OTHERWISE:
            named = each.message if each.element is None else f"{each.element}: {each.message}"
            yield Remark("warning", each.code, None, cited, f"source of {supply.id}: {named}")


#: Devices by UL standards: breakers by IEC are held to the peak of Table 7 instead.
_TOLD_OTHERWISE = frozenset({"x-over-r-above-test"})


def _of_peak(found: Assessment, supply: Supply, at: AtSupply, rating: MilliAmperes) -> Iterator[Remark]:
    """Warn where the peak at the terminals is above the rated one, since the power factor is below that of Table 7."""
    calculation = at.calculation
    highest = None if calculation is None or calculation.available is None else calculation.terminals.highest
    if highest is None:
        return
    rated = peak_current(found.case.tables.peak_factors, rating)
    if highest.peak > rated:
        text = f"the peak there is {current_text(highest.peak)}, above the rated {current_text(rated)}"
        message = f"supply {supply.id}: {text}: the rating does not cover it, whatever its rms value"
        yield Remark("warning", "peak-above-rating", None, clause(found.case.tables, RULE_OF_PEAK), message)


def comparison_remarks(found: Assessment, against: Adequacy) -> Iterator[Remark]:
    """Yield where a rating is below the available current or the target."""
    cited = clause(found.case.tables, RULE)
    for comparison in against.supplies:
        if comparison.rating is not None and comparison.rating < comparison.current:
            text = f"supply {comparison.supply}: rated {current_text(comparison.rating)}, below the available"
            yield Remark("warning", "rating-below-available", None, cited, f"{text} {current_text(comparison.current)}")
    target = against.target
    if target is not None and target.rating is not None and not target.adequate:
        text = f"rated {current_text(target.rating)}, below the order's target {current_text(target.current)}"
        yield Remark("warning", "rating-below-target", None, cited, text)
