"""One shape of the panel, solved until the changed panel, rated from the start, really reaches the target."""

from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field
from decimal import Decimal
from time import monotonic

from sccr.editions import DEFAULT_EDITION
from sccr.engine import rate
from sccr.panel.component import Component
from sccr.result import Finding
from sccr.result import Rating
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part
from sccr.schema.load import load_panel
from sccr.ul508a.subject import Subject
from sccr.ul508a.subject import subject
from sccr.units import MilliAmperes
from sccr.upgrade.blocks import lacking
from sccr.upgrade.candidates import Candidate
from sccr.upgrade.candidates import cost_of
from sccr.upgrade.candidates import fitted
from sccr.upgrade.candidates import swaps
from sccr.upgrade.changes import changed_document
from sccr.upgrade.changes import changes
from sccr.upgrade.choosing import Choosing
from sccr.upgrade.demands import Demands
from sccr.upgrade.demands import Method
from sccr.upgrade.insertion import Shape
from sccr.upgrade.model import INFINITE
from sccr.upgrade.model import Solution
from sccr.upgrade.plan import Block
from sccr.upgrade.plan import Plan
from sccr.upgrade.proof import wrong_with
from sccr.upgrade.worths import OutOfTime

#: Seconds for the question what blocks a target, which is asked when it is known that no plan reaches it.
BLOCKS_TIME = 10.0


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of every shape: `parts` are those of each kind, `until` the moment when time is up.

    method: what is demanded of the parts by the rules of the document's edition; candidates: what was found for one
    shape and holds for another.
    """

    catalogue: Catalogue
    parts: Mapping[str, Sequence[Part]]
    objective: str
    target: MilliAmperes
    until: float
    method: Method
    candidates: dict[object, tuple[Candidate, ...]] = field(default_factory=dict)

    def swaps(self, case: Subject, component: Component, until: float) -> tuple[Candidate, ...]:
        """Return what may stand in a component's place. Raises OutOfTime after `until`."""
        key = (component, case.feeds_of(component.id))
        if key not in self.candidates:
            if monotonic() > until:
                raise OutOfTime
            parts = self.parts.get(component.kind.name, ())
            self.candidates[key] = tuple(swaps(case, component, parts, self.objective))
        return self.candidates[key]


@dataclass(slots=True)
class Attempt:
    """The plans of one shape, one pending at a time, and whether it is proved that none is cheaper than `bound`.

    errors: what withholds the rating whatever is chosen, by component; cuts: the choices that came to an error.
    """

    question: Question
    shape: Shape
    proved: bool = False
    bound: Decimal = Decimal(0)
    pending: Plan | None = None
    errors: dict[str, str] = field(default_factory=dict)
    cuts: list[list[int]] = field(default_factory=list)
    _started: Demands | None = None
    _known: int = 0
    _solved: bool = False
    _exhausted: bool = False

    @property
    def least(self) -> Decimal:
        """Return what the parts that this shape adds cost at least."""
        costs = ([self._cost(part) for part in several] for several in self.shape.added.values())
        return sum((min((c for c in several if c is not None), default=Decimal(0)) for several in costs), Decimal(0))

    def _cost(self, part: Part) -> Decimal | None:
        return cost_of(part, self.question.objective)

    @property
    def order(self) -> tuple[Decimal, int, int]:
        """Return what the pending plan is ordered by: cost, then parts that are not on hand, then number of changes."""
        assert self.pending is not None
        made = self.pending.changes
        return self.pending.cost, sum(not change.on_hand for change in made), len(made)

    def advance(self, known: Sequence[Plan], enough: Decimal | None) -> None:
        """Have the best plan pending that is no known one, alone or with more changes, as far as there is one in time.

        Not looked for where it would cost more than `enough` by the added parts alone.
        """
        if self._started is None:
            self.bound = self.least
            if enough is not None and self.least > enough:
                self.proved = True
                return
            self.proved = False
            try:
                self._started = self._requirements(self.question.until)
            except OutOfTime:
                return
            self._started.demand_all()
        for plan in known[self._known :]:
            self._started.choosing.forbid(plan.swaps)
            if self.pending is not None and plan.swaps <= self.pending.swaps:
                self.pending = None
        self._known = len(known)
        while self.pending is None and not self._exhausted and (left := self.question.until - monotonic()) > 0:
            self._next(self._started, left)

    def _next(self, requirements: Demands, seconds: float) -> None:
        """Find one more plan, or learn that a set of choices is none, or that there is no more."""
        solution = requirements.model.solve(seconds)
        if solution is None:
            self._exhausted = True
            self.proved = requirements.model.impossible if not self._solved else self.proved
            return
        self.pending = self._plan(requirements, solution.taken)
        if not self._solved:
            self.bound = requirements.choosing.weights.cost(solution.bound)
            self.proved = solution.proved and self.pending is not None
        self._solved = self._solved or self.pending is not None

    def _requirements(self, until: float) -> Demands:
        panel = load_panel(self.shape.document, self.question.catalogue, DEFAULT_EDITION)
        case = subject(panel)
        choices: dict[str, tuple[Candidate, ...]] = {}
        for component in panel.components:
            if component.id in self.shape.added:
                parts = self.shape.added[component.id]
                choices[component.id] = tuple(fitted(case, component, parts, self.question.objective))
            elif component.transformer is None:
                choices[component.id] = self.question.swaps(case, component, until)
        return self.question.method.demands(Choosing(case, choices), self.question.target, until, self._rated)

    def _rated(self, chosen: Mapping[str, Candidate]) -> Rating:
        return rate(changed_document(self.shape.document, chosen), self.question.catalogue)

    def _plan(self, requirements: Demands, taken: frozenset[int]) -> Plan | None:
        """Return the plan of a solution if the changed panel, rated from the start, reaches the target.

        If it does not, the solver is told what not to choose again.
        """
        chosen = requirements.choosing.chosen(taken)
        document = changed_document(self.shape.document, chosen)
        rating = rate(document, self.question.catalogue)
        wrong = wrong_with(rating, self.question.target)
        if wrong or rating.rating is None or rating.rating.current < self.question.target:
            if not requirements.learn(rating, wrong, taken):
                self._learn(requirements, wrong, taken)
            return None
        made = tuple(changes(requirements, chosen, self.shape.added))
        cost = sum((candidate.cost for candidate in chosen.values()), Decimal(0))
        return Plan(made, cost, document, rating)

    def _learn(self, requirements: Demands, wrong: Iterable[Finding], taken: frozenset[int]) -> None:
        """Forbid what is wrong of a panel: the part that a finding is of, with the parts that it rests on."""
        for finding in wrong:
            name = finding.component or ""
            self.errors[name] = finding.message
            cut = requirements.choosing.variables(taken, requirements.concerned(name, taken))
            requirements.model.not_all(cut)
            self.cuts.append(cut)

    def blocks(self) -> Iterator[Block]:
        """Yield the components that cannot reach the target, as few as may be, each with what the catalogue lacks."""
        errors: dict[str, str] = {}
        requirements, solution = self._lenient(self.cuts)
        if solution is None:  # an error that no choice mends
            rating = rate(self.shape.document, self.question.catalogue)
            errors = self.errors or {f.component or "": f.message for f in rating.findings if f.severity == "error"}
            requirements, solution = self._lenient(())
        yield from (Block(name, reason) for name, reason in errors.items())
        for name, variable in requirements.slack.items():
            if solution is not None and variable in solution.taken and name not in errors:
                yield Block(name, lacking(requirements, name, self.question.parts))

    def _lenient(self, cuts: Iterable[list[int]]) -> tuple[Demands, Solution | None]:
        """Return the choices that let as few components off as may be."""
        requirements = self._requirements(INFINITE)
        requirements.demand_all(lenient=True)
        for cut in cuts:
            requirements.model.not_all(cut)
        return requirements, requirements.model.solve(BLOCKS_TIME)
