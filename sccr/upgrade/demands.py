"""What the search for a plan asks of a standard: the clauses over the choice of parts, and what a trial teaches."""

from collections.abc import Callable
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from typing import Any
from typing import Protocol

from sccr.result import Finding
from sccr.result import Rating
from sccr.schema.catalogue import Part
from sccr.ul508a.subject import Subject
from sccr.units import MilliAmperes
from sccr.upgrade.candidates import Candidate
from sccr.upgrade.choosing import Choosing
from sccr.upgrade.insertion import Shape
from sccr.upgrade.model import Model

#: Rates the panel with other parts in some places, from the start and by the edition of its document.
Rated = Callable[[Mapping[str, Candidate]], Rating]


class Demands(Protocol):
    """What must hold for one shape of a panel to reach a target [mA], as clauses over the choices of `choosing`.

    slack: after `demand_all(lenient=True)`, the variable by which each component may be let off.
    """

    choosing: Choosing
    case: Subject
    model: Model
    target: MilliAmperes
    slack: dict[str, int]

    def demand_all(self, *, lenient: bool = False) -> None:
        """Demand the target of every component; if lenient, as few as may be are let off at any cost."""

    def learn(self, rating: Rating, wrong: Sequence[Finding], taken: frozenset[int]) -> bool:
        """Forbid a set of choices that was rated and does not reach the target; False leaves `wrong` to the caller."""

    def concerned(self, name: str, taken: frozenset[int]) -> list[str]:
        """Return the components whose parts a finding about one of them may come from."""

    def best_worth(self, name: str) -> MilliAmperes:
        """Return the most that a component is known to be worth with any part [mA]."""


class Method(Protocol):
    """How plans are looked for under the rules of an edition: an object for one question."""

    def shapes(
        self, document: Mapping[str, Any], case: Subject, parts: Mapping[str, Sequence[Part]]
    ) -> Iterator[Shape]:
        """Yield the panel as it is, and with what may be added to it."""

    def demands(self, choosing: Choosing, target: MilliAmperes, until: float, rated: Rated) -> Demands:
        """Return the clauses for one shape. May raise OutOfTime after `until`."""
