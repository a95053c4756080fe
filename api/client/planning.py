"""What stands before and after a rating: fault currents, choosing devices, the cheapest way up. Nothing is kept."""

from typing import Any
from typing import Final
from typing import cast

from .answers import Document
from .answers import FaultCurrent
from .answers import Selection
from .answers import UpgradePlans
from .transport import Parameters
from .transport import Transport

#: Nothing is kept, so nothing can be done twice.
_UNKEYED: Final = {"Idempotency-Key": None}


class Planning(Transport):
    """The part of the client that calculates, chooses and plans."""

    def fault_current(self, site: Document, *, date: str | None = None) -> FaultCurrent:
        """Return the fault currents of a site document; `date`, as in "2026-03-31", is that of its record."""
        return cast(FaultCurrent, self._asked("/v1/fault-currents", site, {"date": date}))

    def select(self, circuit: Document, *, limit: int | None = None, version: int | None = None) -> Selection:
        """Return the devices that suit a circuit, best first, and the near misses, of either at most `limit`."""
        return cast(Selection, self._asked("/v1/selections", circuit, {"limit": limit, "version": version}))

    def upgrade_plans(
        self,
        panel: Document,
        *,
        target: str | None = None,
        objective: str | None = None,
        alternatives: int | None = None,
        staircase: bool | None = None,
        on_hand_first: bool | None = None,
        seconds: int | None = None,
        version: int | None = None,
    ) -> UpgradePlans:
        """Return the plan that lifts a panel to a target, such as "65 kA", or with `staircase` one for each step.

        Without a target: the document's own, else its highest available fault current. objective: "price", "changes"
        or "labour"; alternatives: how many next best plans; seconds: the most time to look for them.
        """
        query: Parameters = {
            "target": target,
            "objective": objective,
            "alternatives": alternatives,
            "staircase": staircase,
            "on_hand_first": on_hand_first,
            "seconds": seconds,
            "version": version,
        }
        return cast(UpgradePlans, self._asked("/v1/upgrade-plans", panel, query))

    def _asked(self, path: str, document: Document, query: Parameters) -> Any:
        return self._json("POST", path, query=query, document=document, headers=_UNKEYED)
