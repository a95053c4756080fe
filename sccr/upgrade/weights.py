"""What the solver counts: costs as whole numbers, and between plans of equal cost the parts that are not on hand."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

#: Sums above it are no longer exact in the solver's numbers.
EXACT = 2**50
#: By how much the solver's bound may be off, as a share of it.
TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True)
class Weights:
    """Costs in whole `unit`s times `rank`, so that missing parts, one each, decide between equal costs only."""

    unit: Decimal
    rank: int

    def weight(self, cost: Decimal) -> int:
        """Return what a cost weighs."""
        return int(cost / self.unit) * self.rank

    def cost(self, bound: float) -> Decimal:
        """Return the cost that is proved by a bound on the weight, which is a whole number."""
        return max(0, ceil(bound - max(1e-6, abs(bound) * TOLERANCE))) // self.rank * self.unit


def weights(costs: Iterable[Iterable[Decimal]]) -> Weights:
    """Return the weights for the costs of the candidates of each place.

    Raises
    ------
    ValueError
        Where costs are so large and so finely written that their sums could not be told apart.
    """
    places = [list(several) for several in costs]
    digits = [int(cost.normalize().as_tuple().exponent) for several in places for cost in several if cost]
    found = Weights(Decimal(1).scaleb(min([0, *digits])), len(places) + 1)
    if sum(max(map(found.weight, several), default=0) for several in places) + len(places) > EXACT:
        raise ValueError("the prices of the catalogue are too large, with too many decimals, to be added exactly")
    return found
