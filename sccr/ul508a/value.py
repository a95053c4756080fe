"""What a component is worth, and why: the small records that the rules hand to one another."""

from dataclasses import dataclass
from enum import StrEnum

from sccr.panel.voltage import Voltage
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


@dataclass(frozen=True, slots=True)
class Value:
    """The value of a component by SB4.2.

    current: what it is worth [mA]; 0 with basis MISSING where nothing holds.
    voltage: the marked voltage of the rating used, None for a value that has none.
    because: the reason in one sentence; refused: ratings that do not hold, each with why.
    capped_by: the device whose interrupting rating cuts the value; relies_on: devices that it needs in place.
    cuts: every device that cuts one of the part's ratings, that which counts or another.
    unconditional: the best marking that holds behind any device [mA], 0 where there is none.
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
        return self.basis is Basis.MISSING


@dataclass(frozen=True, slots=True)
class Remark:
    """A finding of a rule: severity 'error' withholds, 'warning' and 'note' do not."""

    severity: str
    code: str
    component: str | None
    clause: str
    message: str
