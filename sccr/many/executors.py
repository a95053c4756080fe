"""Who rates: the seam between what is to be done with many chunks and where it is done."""

from abc import ABC
from abc import abstractmethod
from collections import deque
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from contextlib import AbstractContextManager
from typing import Final
from typing import Protocol
from typing import TypeVar

from sccr.errors import WorkerLost

Item = TypeVar("Item")
Result = TypeVar("Result")
Result_co = TypeVar("Result_co", covariant=True)

#: So many processes may end on an item; then it is given up.
ATTEMPTS: Final = 3


class Executor(AbstractContextManager["Executor"], ABC):
    """Does something with each of many items, wherever that is. Leaving it as a context ends what it has begun."""

    #: How many items it works on at once.
    at_once: int = 1

    @abstractmethod
    def map(
        self,
        function: Callable[[Item], Result],
        items: Iterable[Item],
        lost: Callable[[Item], Result] | None = None,
    ) -> Iterator[Result]:
        """Yield what comes of each item, in the order of the items, which are taken a few ahead of what is yielded.

        `function` and the items must be such as can be pickled, unless all is done in this process. `lost` gives what
        comes of an item that ended whoever worked on it; without it WorkerLost is raised. What the function raises is
        raised here, and ends all. Raises NoWorkers where nobody works.
        """

    def close(self) -> None:
        """End what is begun, and whoever works on it."""

    def __exit__(self, *_: object) -> None:
        self.close()


class InThisProcess(Executor):
    """Does all in this process, one after the other, when it is asked for."""

    def map(
        self,
        function: Callable[[Item], Result],
        items: Iterable[Item],
        lost: Callable[[Item], Result] | None = None,
    ) -> Iterator[Result]:
        """Yield what comes of each item; nothing is taken ahead, and nobody can be lost."""
        for item in items:
            yield function(item)


class Pending(Protocol[Result_co]):
    """A result that is to come."""

    def result(self) -> Result_co:
        """Wait for it, and return it or raise what there is in its place."""

    def done(self) -> bool:
        """Whether it is there."""

    def cancel(self) -> object:
        """Have it not made, if it is not begun."""


def in_order(
    submit: Callable[[Item], Pending[Result]],
    items: Iterable[Item],
    ahead: Callable[[], int],
    lost: Callable[[Item], Result] | None,
) -> Iterator[Result]:
    """Yield the results of items that are submitted, in the order of the items; at most `ahead()` are under way."""
    waiting: deque[tuple[Item, Pending[Result]]] = deque()
    try:
        for item in items:
            waiting.append((item, submit(item)))
            while waiting and (len(waiting) >= ahead() or waiting[0][1].done()):
                yield _settled(*waiting.popleft(), lost)
        while waiting:
            yield _settled(*waiting.popleft(), lost)
    finally:
        for _, pending in waiting:
            pending.cancel()


def _settled(item: Item, pending: Pending[Result], lost: Callable[[Item], Result] | None) -> Result:
    try:
        return pending.result()
    except WorkerLost:
        if lost is None:
            raise
        return lost(item)
