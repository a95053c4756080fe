"""Literals of what components are worth: true only where the choices give it."""

from collections.abc import Callable
from collections.abc import Mapping
from itertools import groupby

from sccr.ul508a.value import Basis
from sccr.units import MilliAmperes
from sccr.upgrade.choosing import Choosing
from sccr.upgrade.worths import Numbers
from sccr.upgrade.worths import Way
from sccr.upgrade.worths import Worth


class Literals:
    """The literals over the worths of the components, each made once."""

    def __init__(self, choosing: Choosing, worths: Mapping[str, tuple[Worth, ...]]) -> None:
        self._choosing, self._model, self._worths = choosing, choosing.model, worths
        self._ways: dict[Way, int] = {}
        self._holdings: dict[tuple[str, Numbers, frozenset[Way]], int] = {}
        self._at_least: dict[tuple[str, MilliAmperes, bool], int] = {}

    def at_least(self, name: str, current: MilliAmperes, lifted: bool = False) -> int:
        """Return the literal of a component being worth a current; `lifted`: as far as a credit may lift it."""
        key = (name, current, lifted)
        if key not in self._at_least:
            literal = self._at_least[key] = self._model.literal()
            self._model.implies(literal, self.holding(name, lambda worth: _is_worth(worth, current, lifted)))
        return self._at_least[key]

    def holding(self, name: str, good: Callable[[Worth], bool]) -> list[int]:
        """Return the literals of which one must be true for the worth of a component to be good."""
        literals = []
        for own, several in groupby(self._worths.get(name, ()), key=lambda worth: worth.way[0][1]):
            good_of = {worth.way[1:]: good(worth) for worth in several}
            if all(good_of.values()):
                literals += self._choosing.of(name, own)
            elif any(good_of.values()):
                literals.append(self._with_others(name, own, _that_decide(good_of)))
        return literals

    def _with_others(self, name: str, own: Numbers, ways: frozenset[Way]) -> int:
        """Return the literal of one of some parts being taken, and one of some ways of choosing what they rest on."""
        key = (name, own, ways)
        if key not in self._holdings:
            literal = self._holdings[key] = self._model.literal()
            self._model.implies(literal, self._choosing.of(name, own))
            self._model.implies(literal, (either for way in sorted(ways) for either in self._way(way)))
        return self._holdings[key]

    def _way(self, way: Way) -> list[int]:
        """Return the literals of which one must be true for a way being taken."""
        if len(way) == 1:
            return self._choosing.of(*way[0])
        if way not in self._ways:
            literal = self._ways[way] = self._model.literal()
            for name, numbers in way:
                self._model.implies(literal, self._choosing.of(name, numbers))
        return [self._ways[way]]


def _is_worth(worth: Worth, current: MilliAmperes, lifted: bool) -> bool:
    if worth.value.missing:
        return False
    tested = lifted and worth.value.basis is Basis.TESTED_COMBINATION
    return (worth.value.unconditional if tested else worth.value.current) >= current


def _that_decide(good: dict[Way, bool]) -> frozenset[Way]:
    """Return the good ways, without the choices that make no difference."""
    places = list(range(len(next(iter(good)))))
    for place in tuple(places):
        fewer = [other for other in places if other != place]
        found: dict[Way, bool] = {}
        if all(found.setdefault(tuple(way[i] for i in fewer), is_good) == is_good for way, is_good in good.items()):
            places = fewer
    return frozenset(tuple(way[i] for i in places) for way, is_good in good.items() if is_good)
