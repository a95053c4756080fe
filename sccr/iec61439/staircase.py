"""The staircase: what the rating becomes as each limit is lifted in turn, re-rated from the values up."""

from collections.abc import Iterator
from typing import Final

from sccr.iec61439.assessment import Assessment
from sccr.iec61439.assessment import assess_counted
from sccr.units import UNLIMITED

#: Steps of the staircase that are worked out; beyond it a note says so.
LONGEST_STAIRCASE: Final = 40


def staircase(first: Assessment) -> Iterator[Assessment]:
    """Yield the panel re-rated with each limit lifted in turn, up to the top or the longest staircase.

    A lifted part is one that is good for any current, a lifted device one that breaks any: what it lets through, and
    the duration for which a part ahead of all protection is rated, stay as they are.
    """
    now, lifted = first, frozenset[str]()
    for _ in range(LONGEST_STAIRCASE):
        lifted |= {limit.component for limit in now.headline.limits}
        now = assess_counted(first.case, first.scope, lifted)
        if now.headline.current >= UNLIMITED:
            return
        yield now
