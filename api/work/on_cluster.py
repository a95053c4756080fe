"""The cluster that rates for a process: had when it is needed, and anew when it was lost."""

import threading

from sccr.errors import NoWorkers
from sccr.many import Executor
from sccr.many import executor

from .rating_batches import BatchWork


class OnCluster:
    """A cluster by its address, as the threads of a process share it."""

    def __init__(self, address: str) -> None:
        self._address = address
        self._lock = threading.Lock()
        self._had: Executor | None = None

    def do_some(self, work: BatchWork) -> bool:
        """Have the cluster rate some lines, and return whether there were any. Raises NoWorkers where it is not there.

        The lines are then lent to whoever asks for them.
        """
        work.by = by = self._reached()
        try:
            return work.do_some()
        except NoWorkers:
            self._lost(by)
            raise

    def close(self) -> None:
        """Leave the cluster."""
        with self._lock:
            if self._had is not None:
                self._had.close()
                self._had = None

    def _reached(self) -> Executor:
        with self._lock:
            if self._had is None:
                self._had = executor(self._address)
            return self._had

    def _lost(self, by: Executor) -> None:
        """Have it reached anew, unless another thread has done so."""
        with self._lock:
            if self._had is by:
                self._had = None
                by.close()
