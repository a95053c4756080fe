"""Clauses over yes-or-no choices, and the least cost that satisfies them.

Solved by HiGHS (MIT licence, small: it needs only numpy), an exact branch-and-bound for integer programmes that proves
its optimum and reports a bound when its time is up. It is imported when a plan is asked for, not before.
"""

from collections.abc import Iterable
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field
from decimal import Decimal
from typing import Any

#: Costs are handed to the solver in ten-thousandths, so that sums of prices are exact within its tolerance.
SCALE = 10_000


@dataclass(frozen=True, slots=True)
class Solution:
    """What the solver found: the choices taken, the bound on any cost, and whether it is proved the least."""

    taken: frozenset[int]
    bound: Decimal
    proved: bool


@dataclass(slots=True)
class Model:
    """Variables and clauses. A variable is its number; a clause is satisfied by one of its literals being true."""

    costs: list[Decimal] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, list[int], list[float]]] = field(default_factory=list)

    def choice(self, cost: Decimal = Decimal(0)) -> int:
        """Return a new yes-or-no variable."""
        return self._variable(cost, whole=True)

    def literal(self) -> int:
        """Return a new variable that follows from the choices: it may be true only where its clauses allow it."""
        return self._variable(Decimal(0), whole=False)

    def _variable(self, cost: Decimal, *, whole: bool) -> int:
        self.costs.append(cost)
        self.whole.append(whole)
        return len(self.costs) - 1

    def exactly_one(self, choices: Sequence[int]) -> None:
        """Demand that one of some choices is taken, and no more."""
        self.rows.append((1.0, 1.0, list(choices), [1.0] * len(choices)))

    def any_of(self, literals: Iterable[int]) -> None:
        """Demand that one of some literals is true."""
        found = list(dict.fromkeys(literals))
        self.rows.append((1.0, float("inf"), found, [1.0] * len(found)))

    def implies(self, literal: int, literals: Iterable[int]) -> None:
        """Demand that a literal is true only where one of some others is."""
        found = list(dict.fromkeys(literals))
        self.rows.append((0.0, float("inf"), [*found, literal], [*([1.0] * len(found)), -1.0]))

    def not_all(self, choices: Sequence[int]) -> None:
        """Forbid that all of some choices are taken together."""
        self.rows.append((-float("inf"), len(choices) - 1.0, list(choices), [1.0] * len(choices)))

    def solve(self, seconds: float) -> Solution | None:
        """Return the least cost that satisfies every clause, None where none does within the time.

        A solution that is not proved the least carries the bound that is proved.
        """
        import highspy

        solver: Any = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("time_limit", seconds)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 1e-6)
        self._fill(solver, highspy)
        solver.run()
        if solver.getInfo().primal_solution_status != 2:  # no feasible point
            return None
        values = solver.getSolution().col_value
        taken = frozenset(n for n, whole in enumerate(self.whole) if whole and values[n] > 0.5)
        bound = Decimal(str(round(solver.getInfo().mip_dual_bound))) / SCALE
        return Solution(taken, bound, solver.getModelStatus() == highspy.HighsModelStatus.kOptimal)

    def _fill(self, solver: Any, highspy: Any) -> None:
        for number, (cost, whole) in enumerate(zip(self.costs, self.whole, strict=True)):
            solver.addVar(0.0, 1.0)
            solver.changeColCost(number, float(cost * SCALE))
            if whole:
                solver.changeColIntegrality(number, highspy.HighsVarType.kInteger)
        for lower, upper, numbers, factors in self.rows:
            solver.addRow(lower, upper, len(numbers), numbers, factors)
