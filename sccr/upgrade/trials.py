"""What must hold for a panel to reach a target, learned from trials: for rules of which there is no model.

The solver proposes the cheapest set of parts that nothing learned forbids; the panel is rated with it, from the start,
by the rules of its edition; each component that then withholds the rating, or holds it below the target however far
those below it are lifted (`limited_by`, `next_limits`), is a lesson: its part, with the parts that its worth may rest
on, is not chosen again. So the answer is exact, and no rule is written twice; with the time up, the bound is what the
lessons prove.

What a worth may rest on, in any rules that are searched like this: of a part the nearest protective devices and what
carries their fuses, where a part that only these hold down is not named beside them; of a device that is rated in
series or backed up, all devices ahead; of a transformer all behind it; and of what no device protects, all else that
none protects, since such parts share the duration of their short-time current (IEC 61439-1, 5.3.5).
"""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field
from time import monotonic

from sccr.panel.component import Component
from sccr.result import Finding
from sccr.result import LimitedBy
from sccr.result import Rating
from sccr.units import MilliAmperes
from sccr.upgrade.candidates import Candidate
from sccr.upgrade.choosing import Choosing
from sccr.upgrade.demands import Rated
from sccr.upgrade.proof import wrong_with
from sccr.upgrade.worths import Numbers
from sccr.upgrade.worths import alike
from sccr.upgrade.worths import marking


@dataclass(frozen=True, slots=True)
class Lesson:
    """A component fails with each of some of its candidates, as long as the others stand as they do.

    failing, others: candidates by their numbers.
    """

    component: str
    failing: tuple[int, ...]
    others: tuple[tuple[str, int], ...]


@dataclass(slots=True)
class Learned:
    """What trials taught of one panel and target: the lessons, and the most that each component was worth [mA]."""

    lessons: list[Lesson] = field(default_factory=list)
    best: dict[str, MilliAmperes] = field(default_factory=dict)


class Trials:
    """The lessons for one panel and target [mA], over the choices of `choosing`.

    rated: rates the panel with other parts; learned: what was learned before, which holds and is added to.
    """

    def __init__(self, choosing: Choosing, target: MilliAmperes, until: float, rated: Rated, learned: Learned) -> None:
        self.choosing, self.case, self.model, self.target = choosing, choosing.case, choosing.model, target
        self.slack: dict[str, int] = {}
        self._until, self._rated, self._learned = until, rated, learned
        self._groups = {name: alike(several, marking) for name, several in choosing.choices.items()}

    def demand_all(self, *, lenient: bool = False) -> None:
        """Demand what was learned; if lenient, as few components as may be are let off at any cost."""
        if lenient:
            self.model.weights = [0] * len(self.model.weights)
        for lesson in self._learned.lessons:
            self._demand(lesson, lenient)

    def _demand(self, lesson: Lesson, lenient: bool = False) -> None:
        variables = self.choosing.choice
        own = (v for n, v in enumerate(variables.get(lesson.component, ())) if n not in lesson.failing)
        others = (v for name, number in lesson.others for n, v in enumerate(variables[name]) if n != number)
        mends = [*own, *others]
        if lenient:
            if lesson.component not in self.slack:
                self.slack[lesson.component] = self.model.choice(1)
            mends.append(self.slack[lesson.component])
        self.model.any_of(mends)

    def learn(self, rating: Rating, wrong: Sequence[Finding], taken: frozenset[int]) -> bool:
        """Learn from a panel that was rated and does not reach the target.

        False where what is wrong is of no component: no choice of parts is known to mend it.
        """
        names = self._failing(rating)
        if not names or any(name not in self.case.one_line.components for name in names):
            return False
        concerned = {name: self.concerned(name, taken) for name in names}
        for several in _apart(concerned):
            failing = self._tried(several, taken)
            for name in several:
                others = ((n, self._number(n, taken)) for n in concerned[name] if n != name)
                lesson = Lesson(name, tuple(failing[name]), tuple(others))
                self._learned.lessons.append(lesson)
                self._demand(lesson)
        return True

    def _failing(self, rating: Rating) -> tuple[str, ...]:
        """Return the components that keep a panel from the target, whatever is done about the others."""
        for limit, current in _limits(rating):
            self._learned.best[limit.component] = max(current, self.best_worth(limit.component))
        wrong = [finding.component or "" for finding in wrong_with(rating, self.target)]
        low = [limit.component for limit, current in _limits(rating) if current < self.target]
        return tuple(dict.fromkeys([*wrong, *low]))

    def _tried(self, names: Sequence[str], taken: frozenset[int]) -> dict[str, list[int]]:
        """Return the candidates with which each of some failing components fails: the others are tried, as time allows.

        They are tried at once in all of these places, of which none rests on another.
        """
        own = {name: self._number(name, taken) for name in names if name in self._groups}
        failing: dict[str, list[int]] = {name: [] for name in names}
        waiting: dict[str, list[Numbers]] = {}
        for name, number in own.items():
            failing[name] += next(group for group in self._groups[name] if number in group)
            waiting[name] = [group for group in self._groups[name] if number not in group]
        waiting = {name: groups for name, groups in waiting.items() if groups}
        chosen = self.choosing.chosen(taken)
        while waiting and monotonic() < self._until:
            self._try({name: groups.pop() for name, groups in waiting.items()}, chosen, failing)
            waiting = {name: groups for name, groups in waiting.items() if groups}
        return failing

    def _try(
        self, groups: Mapping[str, Numbers], chosen: Mapping[str, Candidate], failing: Mapping[str, list[int]]
    ) -> None:
        """Rate the panel with other candidates in some places, and again without those that withhold its rating."""
        tried = dict(groups)
        while tried:
            others = {name: part for name, part in chosen.items() if name not in tried}
            swapped = {name: self.choosing.choices[name][group[0]] for name, group in tried.items()}
            swapped = {name: candidate for name, candidate in swapped.items() if candidate.part is not None}
            rating = self._rated({**others, **swapped})
            found = [name for name in self._failing(rating) if name in tried]
            for name in found:
                failing[name].extend(tried.pop(name))
            if rating.rating is not None or not found:
                return

    def _number(self, name: str, taken: frozenset[int]) -> int:
        return next(n for n, variable in enumerate(self.choosing.choice[name]) if variable in taken)

    def concerned(self, name: str, taken: frozenset[int]) -> list[str]:
        """Return a component with all that its worth may rest on, as far as there is a choice."""
        found = dict.fromkeys([name, *self._rests_on(name)])
        return [other for other in found if other in self.choosing.choice]

    def _rests_on(self, name: str) -> Iterator[str]:
        one_line, place = self.case.one_line, self.case.one_line.components.get(name)
        if place is None:
            return
        if place.kind.carries_fuse:
            yield from (fuse.id for fuse in one_line.carried_fuses(name))
        if place.transformer is not None:
            for other in sorted(one_line.load_side_of(name)):
                yield from (other, *self._ahead(other))
        if name in one_line.unprotected and not place.protective:
            bare = (one_line.components.get(other) for other in sorted(one_line.unprotected))
            yield from (c.id for c in bare if c is not None and not c.protective)
        if place.protective:
            yield from self._ahead(name) if self._combined(place) else self._holders(name)
            return
        for device in one_line.nearest_protection(name):
            if device in one_line.components:
                yield from (device, *self._holders(device))

    def _holders(self, name: str | None) -> Iterator[str]:
        if name is not None and self.case.one_line.components[name].kind.name == "fuse":
            yield from (holder.id for holder in self.case.one_line.holders(name))

    def _ahead(self, name: str) -> Iterator[str]:
        one_line = self.case.one_line
        ahead = (one_line.components.get(other) for other in sorted(one_line.line_side_of(name)))
        yield from (c.id for c in ahead if c is not None and (c.protective or c.kind.carries_fuse))

    def _combined(self, place: Component) -> bool:
        """Whether a protective device's worth may rest on those ahead of it, with any of its candidates."""
        parts = [place, *(candidate.component for candidate in self.choosing.choices.get(place.id, ()))]
        return any(
            part.series_ratings
            or part.back_up_ratings
            or part.conditional_ratings
            or any(rating.protected_by for rating in part.short_circuit_ratings)
            for part in parts
        )

    def best_worth(self, name: str) -> MilliAmperes:
        """Return the most that a component was seen to be worth where it held the panel."""
        return self._learned.best.get(name, 0)


def _limits(rating: Rating) -> Iterator[tuple[LimitedBy, MilliAmperes]]:
    """Yield what holds a panel, and what holds it once that is lifted, each with the current that it holds it at."""
    if rating.rating is None:
        return
    yield from ((limit, rating.rating.current) for limit in rating.limited_by)
    for rung in rating.next_limits:
        yield from ((limit, rung.rating.current) for limit in rung.limited_by)


def _apart(concerned: Mapping[str, Sequence[str]]) -> list[list[str]]:
    """Return components in groups, of each of which none rests on another."""
    groups: list[list[str]] = []
    for name, rests_on in concerned.items():
        for group in groups:
            if not any(other in rests_on or name in concerned[other] for other in group):
                group.append(name)
                break
        else:
            groups.append([name])
    return groups
