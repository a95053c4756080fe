"""The choice of a part for each place, as variables: what it weighs, and what cannot be chosen together."""

from collections.abc import Iterable

from sccr.ul508a.subject import Subject
from sccr.upgrade.candidates import Candidate
from sccr.upgrade.candidates import fits
from sccr.upgrade.candidates import is_fuse
from sccr.upgrade.model import Model
from sccr.upgrade.weights import weights
from sccr.upgrade.worths import Choices
from sccr.upgrade.worths import Numbers


class Choosing:
    """The candidates of each component, and the variables of the model that stand for them."""

    def __init__(self, case: Subject, choices: Choices) -> None:
        self.case, self.choices = case, choices
        self.weights = weights((c.cost for c in several) for several in choices.values())
        self.model = Model()
        self.choice = {n: [self.model.choice(self._weight(c)) for c in several] for n, several in choices.items()}
        for variables in self.choice.values():
            self.model.exactly_one(variables)
        self._prefer_parts_on_hand()
        self._forbid_misfits()

    def of(self, name: str, numbers: Numbers) -> list[int]:
        """Return the variables of some candidates of a component."""
        return [self.choice[name][number] for number in numbers]

    def variables(self, taken: frozenset[int], names: Iterable[str] | None = None) -> list[int]:
        """Return the choices of a solution, of some components or of all."""
        of = self.choice if names is None else [name for name in dict.fromkeys(names) if name in self.choice]
        return [variable for name in of for variable in self.choice[name] if variable in taken]

    def chosen(self, taken: frozenset[int]) -> dict[str, Candidate]:
        """Return the candidates of a solution, but for those that keep the part which is there."""
        found = (
            (name, self.choices[name][number])
            for name, variables in self.choice.items()
            for number, variable in enumerate(variables)
            if variable in taken
        )
        return {name: candidate for name, candidate in found if candidate.part is not None}

    def forbid(self, swaps: Iterable[tuple[str, str]]) -> None:
        """Forbid a set of swaps, alone or with more, if it can be chosen here at all."""
        found = []
        for name, part in swaps:
            several = self.choices.get(name, ())
            numbers = [n for n, c in enumerate(several) if c.part is not None and c.part.part == part]
            if not numbers:
                return
            found.append(self.choice[name][numbers[0]])
        self.model.not_all(found)

    def _weight(self, candidate: Candidate) -> int:
        short = candidate.part is not None and not _sets_on_hand(candidate)
        return self.weights.weight(candidate.cost) + short

    def _prefer_parts_on_hand(self) -> None:
        """Let each use of a part that is in stock weigh 1 beyond as many as there are."""
        uses: dict[str, list[int]] = {}
        stock: dict[str, int] = {}
        for name, several in self.choices.items():
            for number, candidate in enumerate(several):
                if candidate.part is not None and (sets := _sets_on_hand(candidate)):
                    uses.setdefault(candidate.part.part, []).append(self.choice[name][number])
                    stock[candidate.part.part] = min(sets, stock.get(candidate.part.part, sets))
        for part, variables in uses.items():
            if len(variables) > stock[part]:
                self.model.weigh_above(variables, stock[part])

    def _forbid_misfits(self) -> None:
        """A fuse and its holder are chosen together: class and amperes must fit (R7)."""
        for name, fuses in self.choices.items():
            if not is_fuse(self.case.one_line.components[name]):
                continue
            for holder in self.case.one_line.holders(name):
                for h, held in enumerate(self.choices.get(holder.id, ())):
                    fitting = (f for f, fuse in enumerate(fuses) if fits(self.case, fuse.component, held.component))
                    self.model.implies(self.choice[holder.id][h], self.of(name, tuple(fitting)))


def _sets_on_hand(candidate: Candidate) -> int:
    """Return for how many places the stock of a part lasts."""
    return 0 if candidate.part is None else (candidate.part.stock or 0) // candidate.pieces
