"""CSA C22.2 No. 286 as a rule set: rated by the clauses of UL 508A, where a device must be certified for Canada too."""

from collections.abc import Iterable
from dataclasses import dataclass
from dataclasses import replace
from typing import Final

from sccr.csa286.certification import certification_remarks
from sccr.csa286.certification import nominal_voltage_remarks
from sccr.csa286.certification import refused
from sccr.csa286.certification import why
from sccr.csa286.tables import CERTIFICATION
from sccr.csa286.tables import Tables
from sccr.csa286.tables import tables
from sccr.csa286.words import Words
from sccr.panel.panel import Panel
from sccr.result import ComponentValue
from sccr.result import Condition
from sccr.result import Finding
from sccr.result import LimitedBy
from sccr.result import Method
from sccr.result import Rating
from sccr.result import Step
from sccr.ul508a.assessment import assess
from sccr.ul508a.rule_set import rating_of
from sccr.ul508a.subject import subject
from sccr.ul508a.value import MISSING
from sccr.version import ENGINE_VERSION

STANDARD: Final = "CSA C22.2 No. 286"
#: The clause of the steps that tell what a component is worth.
_VALUES: Final = "SB4.2"


@dataclass(frozen=True, slots=True)
class CSA286:
    """One edition of the standard."""

    id: str
    title: str
    status: str

    @property
    def standard(self) -> str:
        """The standard that this is an edition of."""
        return STANDARD

    def tables_digest(self) -> str:
        """Return the digest of every table that the rules read, those of UL 508A with them."""
        return tables().digest

    def rate(self, panel: Panel) -> Rating:
        """Return the rating of a panel."""
        known, found = tables(), assess(subject(panel))
        counted = found.scope.counted
        added = [*certification_remarks(known, panel, counted), *nominal_voltage_remarks(known, panel)]
        method = Method(STANDARD, self.id, ENGINE_VERSION, known.digest, panel.catalogue_digest)
        rated = rating_of(found, added, method)
        return _for_canada(rated, _Reading(known, panel, refused(known, panel, counted)))


class _Reading:
    """The records of a rating by UL 508A, read for Canada."""

    def __init__(self, known: Tables, panel: Panel, without: frozenset[str]) -> None:
        self._known, self._words = known, Words(known, panel)
        self._refused = {c.id: why(known, c) for c in panel.components if c.id in without}

    def limits(self, held: Iterable[LimitedBy]) -> tuple[LimitedBy, ...]:
        words = self._words
        return tuple(LimitedBy(h.component, words.clause(h.clause), words.text(h.reason)) for h in held)

    def component(self, value: ComponentValue) -> ComponentValue:
        because = self._refused.get(value.id)
        if because is not None:
            return value._replace(value=None, after=None, basis=str(MISSING), because=because)
        return value._replace(because=self._words.text(value.because))

    def step(self, step: Step) -> Step:
        """Return a step; the value of a device that is refused is none, whatever it is marked with."""
        words, because = self._words, self._refused.get(step.component or "")
        if because is not None and step.clause == _VALUES:
            clause = self._known.clauses[CERTIFICATION].text
            return step._replace(clause=clause, statement=words.uncertified(because), after=None, basis=str(MISSING))
        said = words.statement(step.statement, step.clause, step.component, step.basis)
        return step._replace(clause=words.clause(step.clause), statement=said)

    def finding(self, finding: Finding) -> Finding:
        words = self._words
        return finding._replace(clause=words.clause(finding.clause), message=words.text(finding.message))

    def condition(self, condition: Condition) -> Condition:
        return replace(condition, text=self._words.text(condition.text))


def _for_canada(rated: Rating, read: _Reading) -> Rating:
    """Return the same rating in the words of Canada, made when they are read."""
    return Rating.deferred(
        {
            "limited_by": lambda _: read.limits(rated.limited_by),
            "next_limits": lambda _: tuple(replace(n, limited_by=read.limits(n.limited_by)) for n in rated.next_limits),
            "supplies": lambda _: tuple(replace(s, limited_by=read.limits(s.limited_by)) for s in rated.supplies),
            "circuits": lambda _: rated.circuits,
            "components": lambda _: tuple(map(read.component, rated.components)),
            "findings": lambda _: tuple(map(read.finding, rated.findings)),
            "conditions": lambda _: tuple(map(read.condition, rated.conditions)),
            "derivation": lambda _: tuple(map(read.step, rated.derivation)),
        },
        status=rated.status,
        rating=rated.rating,
        adequacy=rated.adequacy,
        options=rated.options,
        method=rated.method,
        document_digest=rated.document_digest,
        panel=rated.panel,
    )
