"""What a component is worth, and why: the small records that the rules hand to one another."""

from enum import StrEnum
from typing import Final
from typing import NamedTuple

from sccr.panel.voltage import Voltage
from sccr.result import Finding
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes


class Basis(StrEnum):
    """What a value was taken from."""

    MARKED = "marked"
    TESTED_COMBINATION = "tested combination"
    SERIES_RATING = "series rating"
    CLASS = "fuse class"
    TABLE = "table"
    LET_THROUGH = "let-through"
    TRANSFORMER = "transformer"
    EXEMPT = "exempt"
    LOWEST = "lowest"
    FAULT_CURRENT = "fault current"
    MISSING = "missing"
    LIFTED = "lifted"


#: Members that are compared with again and again: Python 3.11 finds a member of an enumeration by a function.
MARKED: Final = Basis.MARKED
MISSING: Final = Basis.MISSING
SERIES_RATING: Final = Basis.SERIES_RATING
TESTED_COMBINATION: Final = Basis.TESTED_COMBINATION


class Value(NamedTuple):
    """The value of a component by SB4.2.

    current: what it is worth [mA]; 0 with basis MISSING where nothing holds.
    voltage: the marked voltage of the rating used, None for a value that has none.
    because: the reason in one sentence; refused: ratings that do not hold, each with why.
    capped_by: the device whose interrupting rating cuts the value; relies_on: devices that it needs in place.
    cuts: every device that cuts one of the part's ratings, that which counts or another.
    unconditional: the best marking that holds behind any device [mA], 0 where there is none.

    A named tuple, as the other records that are made for each component: a frozen dataclass takes five times as long.
    """

    current: MilliAmperes
    basis: Basis
    because: str
    voltage: Voltage | None = None
    refused: tuple[str, ...] = ()
    capped_by: str | None = None
    relies_on: tuple[str, ...] = ()
    cuts: tuple[str, ...] = ()
    unconditional: MilliAmperes = 0
    code: str = ""

    @property
    def missing(self) -> bool:
        """Whether nothing holds, so that no rating can be given."""
        return self.basis is MISSING


#: A part that is out of the way while the staircase is worked out.
LIFTED: Final = Value(UNLIMITED, Basis.LIFTED, "lifted")


#: A finding of a rule: severity 'error' withholds, 'warning' and 'note' do not.
Remark = Finding
