"""From a panel, a target and a catalogue to the plan: solve for each shape, rate what comes out, keep the least."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from time import monotonic
from typing import Any

from sccr.editions import DEFAULT_EDITION
from sccr.engine import rate
from sccr.panel.panel import Panel
from sccr.schema.catalogue import Catalogue
from sccr.schema.load import load_panel
from sccr.ul508a.rules.sb4_2_scope import scope
from sccr.ul508a.subject import subject
from sccr.units import MilliAmperes
from sccr.units import current_text
from sccr.upgrade.candidates import OBJECTIVES
from sccr.upgrade.candidates import Candidate
from sccr.upgrade.candidates import applies
from sccr.upgrade.candidates import as_component
from sccr.upgrade.candidates import cost_of
from sccr.upgrade.candidates import labour_of
from sccr.upgrade.candidates import swaps
from sccr.upgrade.insertion import Shape
from sccr.upgrade.insertion import shapes
from sccr.upgrade.plan import Block
from sccr.upgrade.plan import Change
from sccr.upgrade.plan import Plan
from sccr.upgrade.plan import UpgradePlan
from sccr.upgrade.requirements import Requirements

#: What letting one component off costs where the question is which components block the target.
PENALTY = Decimal(1_000_000)
LEVELS = tuple(level * 1_000_000 for level in (22, 35, 65, 100))


def plan(
    document: Mapping[str, Any],
    catalogue: Catalogue,
    target: MilliAmperes | None = None,
    *,
    objective: str = "price",
    time_limit: float = 10.0,
    alternatives: int = 2,
) -> UpgradePlan:
    """Return the least change of parts that lifts a panel to a target, proved by re-rating the changed panel.

    Parameters
    ----------
    document : mapping
        A panel document.
    catalogue : Catalogue
        Parts to choose from; by price only those that state one.
    target : int, optional
        The rating wanted [mA]; without one the document's target, else its highest available fault current.
    objective : {"price", "changes", "labour"}
        What is to be least. Between plans of equal cost the one with more parts on hand is taken.
    time_limit : float
        Seconds; when they are up the answer carries the bound that is proved.
    alternatives : int
        How many next best distinct plans are wanted.

    Raises
    ------
    ValueError
        For an objective that there is not, or where no target can be found.
    InvalidDocument
        Where the document cannot be used.
    """
    if objective not in OBJECTIVES:
        raise ValueError(f"objective {objective!r} is none of {', '.join(OBJECTIVES)}")
    panel = load_panel(document, catalogue, DEFAULT_EDITION)
    wanted = target or _target(panel)
    until = monotonic() + time_limit
    tries = [_Try(shape, catalogue, objective, wanted) for shape in shapes(document, panel, catalogue)]
    return _answer(tries, alternatives, until)


def _answer(tries: Sequence["_Try"], alternatives: int, until: float) -> UpgradePlan:
    """Return the least plan over all shapes, with its proof; where there is none, what blocks the panel as it is."""
    first = tries[0]
    found = sorted((p for t in tries for p in t.plans(alternatives + 1, until)), key=_order)
    if not found:
        proved = all(t.proved for t in tries)
        return UpgradePlan(first.target, first.objective, None, (), proved, None, tuple(first.blocks()))
    best, others = found[0], tuple(found[1 : alternatives + 1])
    proved = all(t.proved or t.bound >= best.cost for t in tries)
    bound = min([best.cost, *(t.bound for t in tries if not t.proved)])
    return UpgradePlan(first.target, first.objective, best, others, proved, bound, ())


def _order(found: Plan) -> tuple[Decimal, int, int]:
    """Cheapest first, then with more parts on hand, then with fewer changes."""
    return found.cost, sum(not change.on_hand for change in found.changes), len(found.changes)


def staircase(
    document: Mapping[str, Any], catalogue: Catalogue, levels: Sequence[MilliAmperes] = LEVELS, **options: Any
) -> tuple[UpgradePlan, ...]:
    """Return the plan for each level [mA]: what 22, 35, 65 and 100 kA would cost."""
    return tuple(plan(document, catalogue, level, **{"alternatives": 0, **options}) for level in levels)


def _target(panel: Panel) -> MilliAmperes:
    available = [s.available_fault_current for s in panel.supplies if s.available_fault_current is not None]
    if panel.target is None and not available:
        raise ValueError("name a target: the document states neither one nor an available fault current")
    return panel.target or max(available)


@dataclass(slots=True)
class _Try:
    """One shape of the panel, solved until the changed panel really reaches the target."""

    shape: Shape
    catalogue: Catalogue
    objective: str
    target: MilliAmperes
    proved: bool = False
    bound: Decimal = Decimal(0)

    def plans(self, wanted: int, until: float) -> list[Plan]:
        """Return the best distinct plans of this shape, cheapest first."""
        requirements = self._requirements()
        requirements.demand_all()
        found: list[Plan] = []
        while len(found) < wanted and (left := until - monotonic()) > 0:
            solution = requirements.model.solve(left)
            if solution is None:
                self.proved = self.proved or until > monotonic()
                break
            if not found:
                self.proved, self.bound = solution.proved, solution.bound
            made = self._plan(requirements, solution.taken)
            if made is None:  # too good to be true by the rules themselves: never this set again
                requirements.model.not_all(_taken(requirements, solution.taken, keeps=True))
                continue
            found.append(made)
            changed = _taken(requirements, solution.taken, keeps=False)
            if not changed:
                break  # nothing need be changed: anything else is only more
            requirements.model.not_all(changed)
        return found

    def _requirements(self) -> Requirements:
        panel = load_panel(self.shape.document, self.catalogue, DEFAULT_EDITION)
        case = subject(panel)
        choices: dict[str, tuple[Candidate, ...]] = {}
        for component in panel.components:
            if component.id in self.shape.added:
                parts = self.shape.added[component.id]
                new = ((as_component(component, p), p, cost_of(p, self.objective)) for p in parts)
                choices[component.id] = tuple(
                    Candidate(c, p, k) for c, p, k in new if k is not None and applies(case, c)
                )
            elif component.transformer is None:
                choices[component.id] = tuple(swaps(case, component, self.catalogue, self.objective))
        return Requirements(case, scope(case), choices, self.target)

    def _plan(self, requirements: Requirements, taken: frozenset[int]) -> Plan | None:
        """Return the plan of a solution if the changed panel, rated from the start, reaches the target."""
        chosen = {
            name: requirements.choices[name][number]
            for name, variables in requirements.choice.items()
            for number, variable in enumerate(variables)
            if variable in taken and requirements.choices[name][number].part is not None
        }
        document = changed_document(self.shape.document, chosen)
        rating = rate(document, self.catalogue)
        if rating.rating is None or rating.rating.current < self.target:
            return None
        changes = tuple(self._change(requirements, name, candidate) for name, candidate in chosen.items())
        cost = sum((candidate.cost for candidate in chosen.values()), Decimal(0))
        return Plan(changes, cost, document, rating)

    def _change(self, requirements: Requirements, name: str, candidate: Candidate) -> Change:
        part, before = candidate.part, requirements.case.one_line.components[name]
        assert part is not None
        action = "add" if name in self.shape.added else "swap"
        on_hand = bool(part.stock)
        return Change(
            name, action, part.kind.name, before.part, part.part, part.price, labour_of(part.kind.name), on_hand
        )

    def blocks(self) -> Iterator[Block]:
        """Yield the components that cannot reach the target, as few as may be, each with what the catalogue lacks."""
        requirements = self._requirements()
        requirements.demand_all(PENALTY)
        solution = requirements.model.solve(10.0)
        for name, variable in requirements.slack.items():
            if solution is not None and variable in solution.taken:
                yield Block(name, self._lacks(requirements, name))

    def _lacks(self, requirements: Requirements, name: str) -> str:
        component = requirements.case.one_line.components[name]
        count = len(requirements.choices.get(name, ())) - 1
        size = f", {component.poles} poles" if component.poles else ""
        tried = f"{count} of its kind, poles and amperes were tried" if count > 0 else "there is no other of its kind"
        return f"no {component.kind.label}{size} of the catalogue reaches {current_text(self.target)} here: {tried}"


def _taken(requirements: Requirements, taken: frozenset[int], *, keeps: bool) -> list[int]:
    """Return the choices of a solution, with those that keep a part or without."""
    return [
        variable
        for name, variables in requirements.choice.items()
        for number, variable in enumerate(variables)
        if variable in taken and (keeps or requirements.choices[name][number].part is not None)
    ]


def changed_document(document: Mapping[str, Any], chosen: Mapping[str, Candidate]) -> dict[str, Any]:
    """Return a panel document with other parts in some places: what the old part was marked with goes with it."""
    kept = {
        "id",
        "kind",
        "fed_from",
        "circuit",
        "position",
        "exempt",
        "location",
        "phases",
        "full_load_current",
        "accessories",
    }
    components = []
    for component in document["components"]:
        candidate = chosen.get(component["id"])
        if candidate is None or candidate.part is None:
            components.append(component)
        else:
            place = {name: value for name, value in component.items() if name in kept}
            components.append({**place, "part": candidate.part.part})
    return {**document, "components": components}
