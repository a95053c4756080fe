"""A run over the fleet in this process and those that it has rate for it: what is found comes out on the disk."""

from collections.abc import Iterable
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from itertools import islice
from typing import Any
from typing import Final

from sccr import __version__
from sccr.many import Executor
from sccr.many.executors import InThisProcess

from ..store import Store
from .chunks import chunks_of
from .entries import counts_of
from .ledger import Ledger
from .proposal import Proposal
from .rating import rate_chunks
from .touched import Reach
from .touched import Touched

FORMAT: Final = "impacts/1"
TOUCHED: Final = "touched"
ALL: Final = "all"
SCOPES: Final = (TOUCHED, ALL)


@dataclass(slots=True)
class Run:
    """What is to be held against a change, how much of it there is, and how much of that is touched so far."""

    store: Store
    proposal: Proposal
    reach: Reach
    scope: str
    stored: int
    touched: int = 0

    @classmethod
    def over(cls, store: Store, proposal: Proposal, scope: str = TOUCHED) -> "Run":
        """Return the run over the panels that a proposal touches, or over all panels of the fleet."""
        return cls(store, proposal, Reach(store, proposal), scope, store.fleet_size())

    def panels(self) -> Iterator[Touched]:
        """Yield the panels that are to be rated, and count those that are touched."""
        for each in self.reach.every() if self.scope == ALL else self.reach.touched():
            self.touched += each.is_touched
            yield each

    def rate(self, ledger: Ledger, by: Executor, panels: Iterable[Touched] | None = None) -> Iterator[int]:
        """Rate these panels or all that are to be rated, with the entries going into a ledger; yield how many were.

        A few are rated in this process.
        """
        chunks = chunks_of(self.store, self.proposal, self.panels() if panels is None else panels)
        few = [*islice(chunks, 2)]
        on = by if len(few) > 1 or isinstance(by, InThisProcess) else InThisProcess()  # others would have to be started
        for entries in rate_chunks(on, chain(few, chunks)):
            ledger.add(entries)
            yield len(entries)

    def told(self) -> dict[str, Any]:
        """Return what the run is about."""
        return {
            "scope": self.scope,
            "catalogue_version": self.proposal.base,
            "catalogue_digest": self.proposal.digest,
            "parts_changed": len(self.proposal.digests),
            "parts_removed": self.proposal.removed,
            "engine_version": __version__,
            "engine_changed": self.reach.engine_changed,
        }

    def summary(self, ledger: Ledger) -> dict[str, Any]:
        """Return what the run is about, and how many panels it has found of each outcome."""
        counted = {"stored": self.stored, "touched": self.touched, **counts_of(ledger.ranks, ledger.rated)}
        return {"format": FORMAT, **self.told(), "counts": counted}
