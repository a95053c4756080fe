"""Choices for building panels: one interface over a seed and over hypothesis."""

from collections.abc import Callable
from collections.abc import Sequence
from random import Random
from typing import TypeVar

T = TypeVar("T")


class Chooser:
    """Picks and chances made out of one function: an index below a count."""

    def __init__(self, index: Callable[[int], int]) -> None:
        self._index = index

    def pick(self, options: Sequence[T]) -> T:
        """One of the options; the first is the one that a shrinking search goes to."""
        return options[self._index(len(options))]

    def chance(self, percent: int) -> bool:
        """True in so many cases of a hundred; shrinks to False."""
        return percent > 0 and self._index(100) >= 100 - percent


def seeded(seed: int) -> Chooser:
    """The same choices for the same seed."""
    return Chooser(Random(seed).randrange)
