"""What stands before and after a rating: fault currents, choosing devices, the cheapest way up. Nothing is kept."""

import json
from collections.abc import Sequence
from typing import Any
from typing import Final
from typing import cast

from .answers import Document
from .answers import FaultCurrent
from .answers import Selection
from .answers import UpgradePlans
from .catalogue import TABLES
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
        edition: str | None = None,
    ) -> UpgradePlans:
        """Return the plan that lifts a panel to a target, such as "65 kA", or with `staircase` one for each step.

        Without a target: the document's own, else its highest available fault current. objective: "price", "changes"
        or "labour"; alternatives: how many next best plans; seconds: the most time to look for them;
        edition: by whose rules, whatever the document asks for.
        """
        query: Parameters = {
            "target": target,
            "objective": objective,
            "alternatives": alternatives,
            "staircase": staircase,
            "on_hand_first": on_hand_first,
            "seconds": seconds,
            "version": version,
            "edition": edition,
        }
        return cast(UpgradePlans, self._asked("/v1/upgrade-plans", panel, query))

    def diagram(self, panel: Document, *, symbols: str | None = None, folded: Sequence[str] = ()) -> str:
        """Return the one-line diagram of a panel as SVG; symbols: ansi or iec; folded: ids to fold branches into."""
        query: Parameters = {"symbols": symbols, "folded": json.dumps(list(folded)) if folded else None}
        return self._send("POST", "/v1/diagrams", query=query, document=panel, headers=_UNKEYED).text

    def component_table(
        self, table: bytes, form: str = "csv", *, columns: Sequence[str | None] | None = None
    ) -> Document:
        """Return what a table of components says (csv or xlsx); columns: what they are, None leaves one out."""
        query: Parameters = {"columns": None if columns is None else json.dumps(list(columns))}
        headers = {"Content-Type": TABLES[form], **_UNKEYED}
        return cast(Document, self._json("POST", "/v1/component-tables", query=query, headers=headers, body=table))

    def _asked(self, path: str, document: Document, query: Parameters) -> Any:
        return self._json("POST", path, query=query, document=document, headers=_UNKEYED)
