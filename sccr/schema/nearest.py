"""The nearest right names for a misspelt one."""

from collections import Counter
from collections.abc import Collection
from collections.abc import Iterator
from difflib import get_close_matches
from functools import cached_property
from heapq import nlargest
from itertools import chain
from operator import add
from typing import Final

from sccr.schema.uncollected import uncollected

_LONGEST_WORD: Final = 64
_COMPARISONS: Final = 20_000
_SHORT: Final = 3
#: Of more names than this only some are compared with a word, and to find them takes the time of so many comparisons.
_MANY: Final = 2_000
_COMPARED: Final = 200
_FOUND_IN_A_COMPARISON: Final = 25
#: What is most often mistaken for each other, or left out.
_SEPARATORS: Final = str.maketrans("", "", " -_./")


class Names(Collection[str]):
    """Names that many words are compared with, such as the part numbers of a catalogue: folded once, and when asked."""

    def __init__(self, names: Collection[str]) -> None:
        self._names = names

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)

    @cached_property
    def folded(self) -> dict[str, str]:
        """The names by what is left of them without case and separators; of equal ones the first."""
        return {_fold(name): name for name in reversed(list(self._names))}

    @property
    def cost(self) -> int:
        """How many comparisons it takes, or the time of how many, to find the names that are near to a word."""
        return len(self) if len(self) <= _MANY else _COMPARED + len(self) // _FOUND_IN_A_COMPARISON

    def like(self, word: str) -> Collection[str]:
        """Return the folded names that a folded word is worth comparing with: of many, those of the most like pairs.

        To compare it with each of fifty thousand would take seconds.
        """
        if len(self) <= _MANY:
            return self.folded
        names = list(self.folded)
        shared = Counter(chain.from_iterable(self._with_pair.get(pair, ()) for pair in _pairs(word)))
        likeness = {number: count / (len(word) + len(names[number])) for number, count in shared.items()}
        return [names[number] for number in nlargest(_COMPARED, likeness, key=likeness.__getitem__)]

    @cached_property
    def _with_pair(self) -> dict[str, list[int]]:
        """Where the names stand that have a pair of characters in them."""
        found: dict[str, list[int]] = {}
        with uncollected():
            for number, name in enumerate(self.folded):
                for pair in _pairs(name):
                    found.setdefault(pair, []).append(number)
        return found


class Nearest:
    """Answers for one document, with an allowance.

    A document of ten thousand wrong names must not cost ten thousand times ten thousand comparisons: once the
    allowance is spent, only case and punctuation are forgiven.
    """

    def __init__(self) -> None:
        self._allowance = _COMPARISONS
        self._known: dict[int, Names] = {}

    def names(self, word: str, known: Collection[str], count: int = 1) -> list[str]:
        """Return up to `count` of the known names that the word may mean, the nearest first."""
        if len(word) > _LONGEST_WORD:
            return []
        names = known if isinstance(known, Names) else self._known.setdefault(id(known), Names(known))
        exact = names.folded.get(_fold(word))
        if self._allowance < names.cost:
            return [exact] if exact is not None else []
        self._allowance -= names.cost
        near = get_close_matches(_fold(word), names.like(_fold(word)), n=count, cutoff=_likeness(word))
        return [names.folded[name] for name in near]


def _likeness(word: str) -> float:
    """Return how like a name has to be: of a short designation such as S2, half is much."""
    return 0.5 if len(word) <= _SHORT else 0.6


def _fold(name: str) -> str:
    """Return the name without case, spaces and the separators that are most often mistaken for each other."""
    return name.casefold().translate(_SEPARATORS) or name


def _pairs(name: str) -> set[str]:
    return set(map(add, name, name[1:]))


def nearest(word: str, known: Collection[str]) -> str | None:
    """Return the known name that the word most probably means, or nothing where none is near."""
    return next(iter(Nearest().names(word, known)), None)
