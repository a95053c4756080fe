"""How plans are looked for, edition by edition: by a model of the rules where there is one, else by trials alone."""

from collections.abc import Callable
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from typing import Any
from typing import Final

from sccr.csa286.certification import uncertified
from sccr.csa286.tables import tables
from sccr.panel.component import Component
from sccr.schema.catalogue import Part
from sccr.ul508a.subject import Subject
from sccr.units import MilliAmperes
from sccr.upgrade.choosing import Choosing
from sccr.upgrade.demands import Demands
from sccr.upgrade.demands import Method
from sccr.upgrade.demands import Rated
from sccr.upgrade.insertion import Shape
from sccr.upgrade.insertion import shapes
from sccr.upgrade.requirements import Requirements
from sccr.upgrade.trials import Learned
from sccr.upgrade.trials import Trials
from sccr.upgrade.worths import Worth


class ByModel:
    """The rules of UL 508A, Supplement SB, as clauses; class fuses may be added to feeders.

    admits: whether a protective device may be used where it counts.
    """

    def __init__(self, admits: Callable[[Component], bool] = lambda _: True) -> None:
        self._known: dict[object, tuple[Worth, ...]] = {}
        self._admits = admits

    def shapes(
        self, document: Mapping[str, Any], case: Subject, parts: Mapping[str, Sequence[Part]]
    ) -> Iterator[Shape]:
        """Yield the panel as it is, then with feeder fuses added."""
        return shapes(document, case, parts)

    def demands(self, choosing: Choosing, target: MilliAmperes, until: float, rated: Rated) -> Demands:
        """Return the clauses of the rules; what is worth what is found once for all shapes."""
        return Requirements(choosing, target, self._known, until, self._admits)


class ByTrials:
    """Any rules: what was rated and does not reach the target is learned. Parts are exchanged, none is added."""

    def __init__(self) -> None:
        self._learned = Learned()

    def shapes(
        self, document: Mapping[str, Any], case: Subject, parts: Mapping[str, Sequence[Part]]
    ) -> Iterator[Shape]:
        """Yield the panel as it is."""
        yield Shape(document, {})

    def demands(self, choosing: Choosing, target: MilliAmperes, until: float, rated: Rated) -> Demands:
        """Return what was learned so far, to be added to."""
        return Trials(choosing, target, until, rated, self._learned)


def _for_canada() -> Method:
    """Return the method of CSA C22.2 No. 286: the rules of UL 508A, and devices certified for Canada."""
    known = tables()
    return ByModel(lambda device: not uncertified(known, device))


_METHODS: Final[Mapping[str, Callable[[], Method]]] = {"UL 508A": ByModel, "CSA C22.2 No. 286": _for_canada}


def method_of(edition: str) -> Method:
    """Return how plans are looked for under an edition: by trials where there is no model of its rules."""
    standard, _, _ = edition.rpartition(":")
    return _METHODS.get(standard, ByTrials)()
