"""IEC 61439-2 with IEC 60204-1 as a rule set: a panel in, a rating out."""

from collections.abc import Iterator
from dataclasses import dataclass

from sccr.adequacy import Adequacy
from sccr.iec61439.assessment import assess
from sccr.iec61439.explanation import Explanation
from sccr.iec61439.rules.application_errors import application_errors
from sccr.iec61439.rules.available_fault_current import adequacy
from sccr.iec61439.rules.available_fault_current import available_remarks
from sccr.iec61439.rules.available_fault_current import comparison_remarks
from sccr.iec61439.rules.warnings import warnings
from sccr.iec61439.staircase import LONGEST_STAIRCASE
from sccr.iec61439.subject import subject
from sccr.iec61439.tables import tables
from sccr.iec61439.value import Remark
from sccr.iec61439.words import clause
from sccr.panel.panel import Panel
from sccr.result import Method
from sccr.result import Rating
from sccr.version import ENGINE_VERSION

STANDARD = "IEC 61439-2"
SEVERITIES = {"error": 0, "warning": 1, "note": 2}


@dataclass(frozen=True, slots=True)
class IEC61439:
    """One edition of the standard."""

    id: str
    title: str
    status: str

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
        errors = tuple(application_errors(found))
        explained = Explanation(found, bool(errors))
        against = adequacy(found, explained.withheld)
        return Rating.deferred(
            {**explained.makers(), "findings": lambda _: _findings(errors, explained, against)},
            status="withheld" if explained.withheld else "rated",
            rating=explained.rating,
            adequacy=against,
            options={
                "service_breaking_capacity": panel.options.service_breaking_capacity,
                "skilled_persons_only": panel.options.skilled_persons_only,
                "coordination": panel.options.coordination,
            },
            method=Method(STANDARD, self.id, ENGINE_VERSION, self.tables_digest(), panel.catalogue_digest),
            document_digest=panel.document_digest,
            panel=panel.identity,
        )


def _findings(errors: tuple[Remark, ...], explained: Explanation, against: Adequacy) -> tuple[Remark, ...]:
    """Return the errors, which decided, with the warnings and notes, which change no rating."""
    remarks = [*errors, *_remarks(explained, against)]
    return tuple(sorted(dict.fromkeys(remarks), key=lambda remark: SEVERITIES[remark.severity]))


def _remarks(explained: Explanation, against: Adequacy) -> Iterator[Remark]:
    found, withheld = explained.found, explained.withheld
    yield from warnings(found)
    yield from available_remarks(found, withheld)
    if len(explained.rungs) == LONGEST_STAIRCASE:
        text = f"next_limits is cut after {LONGEST_STAIRCASE} steps"
        yield Remark("note", "staircase-cut", None, clause(found.case.tables, "P1"), text)
    if not withheld:
        yield from comparison_remarks(found, against)
