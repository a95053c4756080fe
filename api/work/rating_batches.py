"""The work on batches: some lines are claimed, rated, and finished together."""

import time
from collections.abc import Sequence
from contextlib import closing
from typing import Final

from sccr.many import Executor
from sccr.many.executors import InThisProcess

from ..service import service
from ..store import ClaimedLine
from ..store import FinishedLine
from ..store import Unavailable
from ..webhook_events import announce_end
from .rating_lines import broken
from .rating_lines import finished

#: How long the lines that are claimed at once should take [s], and how many they are at most for each who rates.
_SECONDS: Final = 1.0
_MOST: Final = 100
#: The part of a lease after which what is done is handed in, and the rest left to whoever claims it next.
_IN_TIME: Final = 0.5


class BatchWork:
    """A worker's way through the batches; `name` must be of this worker and no other, ever. by: who rates for it."""

    def __init__(self, name: str, by: Executor | None = None) -> None:
        self._name = name
        self.by = by or InThisProcess()
        self._some = 1
        self._held: Sequence[ClaimedLine] = ()

    def do_some(self) -> bool:
        """Rate some lines, and return whether there were any; within the context of the application."""
        store, lease = service().store, service().settings.lease_seconds
        store.return_lines(self._name, self._held)  # what an earlier failure of the database kept from being handed in
        began = time.monotonic()
        self._held = claimed = store.claim_lines(self._name, self._some, lease)
        if not claimed:
            return False
        done = _done_until(began + lease * _IN_TIME, claimed, self.by)
        try:
            self._hand_in(done)
        except Unavailable:
            raise
        except Exception:  # one of them cannot be kept: the others must not wait for it for ever
            self._hand_in_each(claimed, done)
        store.return_lines(self._name, claimed[len(done) :])
        self._held = ()
        each = (time.monotonic() - began) / len(done)
        self._some = max(1, min(_MOST * self.by.at_once, 2 * self._some, int(_SECONDS / each)))
        return True

    def _hand_in(self, done: Sequence[FinishedLine]) -> None:
        """Keep what is done; that a batch has ended is announced in the same transaction."""
        store = service().store
        with store.transaction():
            for batch in store.finish_lines(self._name, done).ended:
                announce_end(store, batch)

    def _hand_in_each(self, claimed: Sequence[ClaimedLine], done: Sequence[FinishedLine]) -> None:
        for line, outcome in zip(claimed, done, strict=False):
            try:
                self._hand_in([outcome])
            except Unavailable:
                raise
            except Exception as error:
                self._hand_in([broken(line, error)])


def _done_until(ends: float, claimed: Sequence[ClaimedLine], by: Executor) -> list[FinishedLine]:
    """Rate lines until the time is up, at least one: so that slow ones come forward, too."""
    done: list[FinishedLine] = []
    with closing(finished(claimed, by)) as each:
        for line in each:
            done.append(line)
            if time.monotonic() > ends:
                break
    return done
