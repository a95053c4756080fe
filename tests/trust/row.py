"""A line of the table of what was tried."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """What was tried, how often, and how often it went wrong.

    `tried` counts what `unit` names ("panels", "rounds", "requests"); `faults` are answers or states that must not be
    (a wrong rating, a status 500, a half-written record), `losses` are acknowledged things that were gone.
    """

    area: str
    what: str
    tried: int
    unit: str
    faults: int
    losses: int = 0
    note: str = ""
