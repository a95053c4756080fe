"""The nearest right names for a misspelt one."""

from collections.abc import Collection
from difflib import get_close_matches
from typing import Final

_LONGEST_WORD: Final = 64
_COMPARISONS: Final = 20_000
_SHORT: Final = 3


class Nearest:
    """Answers for one document, with an allowance.

    A document of ten thousand wrong names must not cost ten thousand times ten thousand comparisons: once the
    allowance is spent, only case and punctuation are forgiven.
    """

    def __init__(self) -> None:
        self._allowance = _COMPARISONS
        self._folded: dict[int, dict[str, str]] = {}

    def names(self, word: str, known: Collection[str], count: int = 1) -> list[str]:
        """Return up to `count` of the known names that the word may mean, the nearest first."""
        if len(word) > _LONGEST_WORD:
            return []
        folded = self._fold(known)
        exact = folded.get(_fold(word))
        if self._allowance < len(known):
            return [exact] if exact is not None else []
        self._allowance -= len(known)
        return [folded[name] for name in get_close_matches(_fold(word), folded, n=count, cutoff=_likeness(word))]

    def _fold(self, known: Collection[str]) -> dict[str, str]:
        if id(known) not in self._folded:
            self._folded[id(known)] = {_fold(name): name for name in reversed(list(known))}
        return self._folded[id(known)]


def _likeness(word: str) -> float:
    """Return how like a name has to be: of a short designation such as S2, half is much."""
    return 0.5 if len(word) <= _SHORT else 0.6


def _fold(name: str) -> str:
    """Return the name without case, spaces and the separators that are most often mistaken for each other."""
    return "".join(character for character in name.casefold() if character not in " -_./") or name


def nearest(word: str, known: Collection[str]) -> str | None:
    """Return the known name that the word most probably means, or nothing where none is near."""
    return next(iter(Nearest().names(word, known)), None)
