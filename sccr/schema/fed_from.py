"""Who feeds whom: every name of `fed_from` resolved, no loop, and nothing that no supply reaches."""

from collections.abc import Iterator
from collections.abc import Sequence
from typing import Any
from typing import Final

from sccr.schema.designations import Designations
from sccr.schema.designations import Source
from sccr.schema.loops import children_of
from sccr.schema.loops import loops
from sccr.schema.loops import reached
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import Path

_NAMED_OF_A_LOOP: Final = 12


class Feeding:
    """What feeds each component, as numbers of components, as far as `fed_from` says it rightly."""

    def __init__(
        self, designations: Designations, fed_from: Sequence[tuple[str, ...] | None], raw: Sequence[Any]
    ) -> None:
        self.designations = designations
        self.raw = raw
        self.parents: list[list[int]] = [[] for _ in fed_from]
        self.faults: list[Found] = []
        #: Components with a supply among their sources, or with a source that is not known: no loop holds them.
        self.rooted: set[int] = set()
        self.unfed_transformers: dict[int, None] = {}
        for number, names in enumerate(fed_from):
            if names:
                self._connect(number, names)
            else:
                self.rooted.add(number)

    def _connect(self, number: int, names: tuple[str, ...]) -> None:
        known: set[tuple[Source, str | None]] = set()
        for place, name in enumerate(names):
            source = self.designations.source(name)
            if isinstance(source, Fault):
                self.rooted.add(number)
                self.faults.append(Found(self._path(number, place), source))
                continue
            which = (source, name if source.component is None else None)  # two supplies are two sources
            if which in known:
                self.faults.append(Found(self._path(number, place), Fault("repeated", "stands here already; keep one")))
            else:
                known.add(which)
                self._feed(number, source)

    def _feed(self, number: int, source: Source) -> None:
        if source.component is None:
            self.rooted.add(number)
            return
        self.parents[number].append(source.component)
        if self.designations.windings.get(source.component) == 0:
            self.unfed_transformers[source.component] = None

    def _path(self, number: int, place: int) -> Path:
        """Return the path of one of the names in `fed_from`, which may stand there alone."""
        path = ("components", number, "fed_from")
        return (*path, place) if isinstance(self.raw[number]["fed_from"], list) else path

    def path_to(self, number: int, source: int) -> Path:
        """Return the path of the name by which a component names another as its source."""
        written = self.raw[number]["fed_from"]
        names = written if isinstance(written, list) else [written]
        resolved = (self.designations.source(name) for name in names)
        places = (p for p, each in enumerate(resolved) if isinstance(each, Source) and each.component == source)
        return self._path(number, next(places))


def fed_from_faults(feeding: Feeding) -> Iterator[Found]:
    """Yield everything that is wrong with who feeds whom."""
    yield from feeding.faults
    for number in feeding.unfed_transformers:
        told = Fault("required", "is missing: something is fed from this transformer")
        stated = "transformer" in feeding.raw[number]
        yield Found(("components", number, "transformer", *(["secondary"] if stated else [])), told)
    in_loops: set[int] = set()
    for loop in loops(feeding.parents):
        in_loops |= set(loop)
        yield _loop_fault(feeding, loop)
    if in_loops:
        yield from _unreached(feeding, in_loops)


def _loop_fault(feeding: Feeding, loop: list[int]) -> Found:
    """Return the fault of a loop, at the component of it that stands first in the document."""
    names = [str(feeding.designations.names[number]) for number in (*loop, loop[0])]
    if len(names) > _NAMED_OF_A_LOOP:
        names[_NAMED_OF_A_LOOP // 2 : -_NAMED_OF_A_LOOP // 2] = [f"… {len(names) - _NAMED_OF_A_LOOP} more …"]
    told = "is fed from itself" if len(loop) == 1 else f"is in a loop: {' feeds '.join(names)}"
    return Found(feeding.path_to(loop[0], loop[-1]), Fault("loop", told))


def _unreached(feeding: Feeding, in_loops: set[int]) -> Iterator[Found]:
    """Yield what hangs on a loop only: behind a name that is not known, things are right once the name is."""
    everything = range(len(feeding.parents))
    found = reached(feeding.rooted, children_of(feeding.parents), everything)
    for number in everything:
        if number not in found and number not in in_loops:
            told = "leads to no supply: what feeds it hangs on a loop"
            yield Found(("components", number, "fed_from"), Fault("unreachable", told))
