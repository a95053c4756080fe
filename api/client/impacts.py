"""Impacts: what a changed catalogue, or the engine of the service, makes of the stored panels."""

import time
from collections.abc import Iterator
from typing import cast

from .answers import Document
from .answers import Impact
from .answers import ImpactRun
from .batches import ENDED
from .transport import Transport
from .transport import step


class Impacts(Transport):
    """The part of the client that holds the stored panels against a change."""

    def impact(self, change: Document, *, wait: bool = True) -> ImpactRun:
        """Return what a change (a document of the format "impact/1") makes of the stored panels.

        It is answered at once where it touches a few panels: then `impacts` has them. Else, or where the caller would
        rather not `wait`, it is a run with an `id`, whose results come later.
        """
        headers = {"Prefer": None if wait else "respond-async"}
        return cast(ImpactRun, self._json("POST", "/v1/impacts", document=change, headers=headers))

    def impact_runs(self, state: str | None = None) -> Iterator[ImpactRun]:
        """Yield the runs, the newest first: all, or those in a state."""
        return self._every("/v1/impacts", "runs", {"state": state})

    def impact_run(self, id: str) -> ImpactRun:
        """Return a run: its state, and what it has found so far, in numbers."""
        return cast(ImpactRun, self._json("GET", f"/v1/impacts/{step(id)}"))

    def cancel_impact(self, id: str) -> ImpactRun:
        """Cancel a run; what it has found stays, and one that has ended stays as it is."""
        return cast(ImpactRun, self._json("DELETE", f"/v1/impacts/{step(id)}"))

    def wait_for_impact(self, id: str, *, seconds: float = 3600.0, pause: float = 1.0) -> ImpactRun:
        """Return a run when it has ended, asking now and then. Raises TimeoutError."""
        ends = time.monotonic() + seconds
        while (found := self.impact_run(id))["state"] not in ENDED:
            if time.monotonic() >= ends:
                raise TimeoutError(f"run {id} has not ended after {seconds:g} s")
            time.sleep(pause)
        return found

    def impact_results(self, id: str, *, outcome: str | None = None, shipped: bool | None = None) -> Iterator[Impact]:
        """Yield the panels that change, the worst first: all, or those with an outcome, or that were shipped or not.

        They are whole once the state of the run, read before, was "done".
        """
        return self._every(f"/v1/impacts/{step(id)}/results", "impacts", {"outcome": outcome, "shipped": shipped})
