"""An impact as a line of a report, and its place among the others: the worst first."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from typing import Final

from sccr.impact import Impact
from sccr.impact import Outcome
from sccr.units import MilliAmperes

_MOVED: Final = (Outcome.LOWERED, Outcome.OTHERWISE, Outcome.RAISED)
#: The classes of a report, the worst first: outcome, and whether the panel was shipped. First what stands in the field
#: and can no longer stand there; then the same of what has not left the house; then what is only marked otherwise.
RANKS: Final = (
    *((outcome, True) for outcome in Outcome if outcome.fails),
    *((outcome, False) for outcome in Outcome if outcome.fails),
    *((outcome, shipped) for outcome in _MOVED for shipped in (True, False)),
)
_RANK: Final = {ranked: number for number, ranked in enumerate(RANKS)}

#: Places of one class: by margin [mA], the least first, and without one before all.
SPREAD: Final = 10**15
_MIDDLE: Final = SPREAD // 2


@dataclass(frozen=True, slots=True)
class Entry:
    """What becomes of a panel: its place in the report and its text, a line of JSON; neither where nothing does.

    failed: whether it could not be rated, through no fault of its own.
    """

    place: int | None
    text: str
    failed: bool = False


def entry_of(place: Mapping[str, Any], found: Impact) -> Entry:
    """Return the entry of a panel that is stored at a place."""
    if found.outcome is Outcome.UNCHANGED:
        return Entry(None, "")
    told = {**place, **found.as_dict()}
    rank = _RANK[found.outcome, place["shipped_at"] is not None]
    text = json.dumps(told, ensure_ascii=False, separators=(",", ":"))
    return Entry(rank * SPREAD + _within(found.margin), text, found.outcome is Outcome.UNKNOWN)


def _within(margin: MilliAmperes | None) -> int:
    return 0 if margin is None else max(1, min(SPREAD - 1, margin + _MIDDLE))


def counts_of(ranks: Mapping[int, int], rated: int) -> dict[str, int]:
    """Return how many of the panels that were rated have each outcome, by how many there are of each class."""
    by_outcome = dict.fromkeys(Outcome, 0)
    shipped_changed = shipped_failing = 0
    for rank, count in ranks.items():
        outcome, shipped = RANKS[rank]
        by_outcome[outcome] += count
        shipped_changed += count if shipped else 0
        shipped_failing += count if shipped and outcome.fails else 0
    changed = sum(ranks.values())
    by_outcome[Outcome.UNCHANGED] = rated - changed
    return {
        "rated": rated,
        "changed": changed,
        **{outcome.value: count for outcome, count in by_outcome.items()},
        "shipped_changed": shipped_changed,
        "shipped_failing": shipped_failing,
    }
