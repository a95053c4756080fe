"""Clauses over yes-or-no choices, and the least weight that satisfies them.

Solved by HiGHS (MIT licence, small: it needs only numpy), an exact branch-and-bound for integer programmes that proves
its optimum and reports a bound when its time is up. It is imported when a plan is asked for, not before.
"""

from collections.abc import Iterable
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field
from itertools import accumulate
from typing import Any

INFINITE = float("inf")


@dataclass(frozen=True, slots=True)
class Solution:
    """What the solver found: the choices taken, the bound on any weight, and whether it is proved the least."""

    taken: frozenset[int]
    bound: float
    proved: bool


@dataclass(slots=True)
class Model:
    """Variables and clauses. A variable is its number; a clause is satisfied by one of its literals being true.

    Weights are whole numbers: of two sets of choices one is lighter by 1 or more, or they weigh the same.
    """

    weights: list[int] = field(default_factory=list)
    uppers: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, list[int], list[float]]] = field(default_factory=list)
    #: Whether a solution was sought and there is none: not only none within the time.
    impossible: bool = False

    def choice(self, weight: int = 0) -> int:
        """Return a new yes-or-no variable."""
        return self._variable(weight, 1.0, whole=True)

    def literal(self) -> int:
        """Return a new variable that follows from the choices: it may be true only where its clauses allow it."""
        return self._variable(0, 1.0, whole=False)

    def _variable(self, weight: int, upper: float, *, whole: bool) -> int:
        self.weights.append(weight)
        self.uppers.append(upper)
        self.whole.append(whole)
        return len(self.weights) - 1

    def exactly_one(self, choices: Sequence[int]) -> None:
        """Demand that one of some choices is taken, and no more."""
        self._row(1.0, 1.0, choices)

    def any_of(self, literals: Iterable[int]) -> None:
        """Demand that one of some literals is true."""
        self._row(1.0, INFINITE, list(dict.fromkeys(literals)))

    def implies(self, literal: int, literals: Iterable[int]) -> None:
        """Demand that a literal is true only where one of some others is."""
        found = list(dict.fromkeys(literals))
        self.rows.append((0.0, INFINITE, [*found, literal], [*([1.0] * len(found)), -1.0]))

    def not_all(self, choices: Sequence[int]) -> None:
        """Forbid that all of some choices are taken together."""
        self._row(-INFINITE, len(choices) - 1.0, choices)

    def weigh_above(self, choices: Sequence[int], free: int) -> None:
        """Let each of some choices that is taken weigh 1, but for as many as are free."""
        above = self._variable(1, INFINITE, whole=False)
        self.rows.append((-INFINITE, float(free), [*choices, above], [*([1.0] * len(choices)), -1.0]))

    def _row(self, lower: float, upper: float, numbers: Sequence[int]) -> None:
        self.rows.append((lower, upper, list(numbers), [1.0] * len(numbers)))

    def solve(self, seconds: float) -> Solution | None:
        """Return the least weight that satisfies every clause, None where none does or none was found in the time.

        A solution that is not proved the least carries the bound that is proved.
        """
        import highspy

        solver: Any = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("threads", 1)
        solver.setOptionValue("time_limit", max(seconds, 0.0))
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.5)  # weights are whole
        solver.passModel(self._program(highspy))
        solver.run()
        status = highspy.HighsModelStatus
        self.impossible = solver.getModelStatus() in (status.kInfeasible, status.kUnboundedOrInfeasible)
        if solver.getInfo().primal_solution_status != 2:  # no feasible point
            return None
        values = solver.getSolution().col_value
        taken = frozenset(n for n, whole in enumerate(self.whole) if whole and values[n] > 0.5)
        proved = solver.getModelStatus() == status.kOptimal
        return Solution(taken, solver.getInfo().mip_dual_bound, proved)

    def _program(self, highspy: Any) -> Any:
        """Return the clauses as the solver takes them, row by row."""
        program = highspy.HighsLp()
        program.num_col_, program.num_row_ = len(self.weights), len(self.rows)
        program.col_cost_ = [float(weight) for weight in self.weights]
        program.col_lower_, program.col_upper_ = [0.0] * len(self.weights), self.uppers
        kinds = {True: highspy.HighsVarType.kInteger, False: highspy.HighsVarType.kContinuous}
        program.integrality_ = [kinds[whole] for whole in self.whole]
        program.row_lower_, program.row_upper_ = [row[0] for row in self.rows], [row[1] for row in self.rows]
        matrix = program.a_matrix_
        matrix.format_ = highspy.MatrixFormat.kRowwise
        matrix.num_col_, matrix.num_row_ = program.num_col_, program.num_row_
        matrix.start_ = [0, *accumulate(len(row[2]) for row in self.rows)]
        matrix.index_ = [number for row in self.rows for number in row[2]]
        matrix.value_ = [factor for row in self.rows for factor in row[3]]
        return program
