"""What a component is worth at its own place, and why: the small records that the rules hand to one another."""

from enum import StrEnum
from typing import Final
from typing import NamedTuple

from sccr.result import Finding
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes


class Basis(StrEnum):
    """What a value was taken from."""

    MARKED = "marked"
    BACK_UP = "back-up"
    TESTED_COMBINATION = "tested combination"
    SHORT_TIME = "short-time"
    LET_THROUGH = "let-through"
    TABLE = "table"
    TRANSFORMER = "transformer"
    EXEMPT = "exempt"
    LOWEST = "lowest"
    FAULT_CURRENT = "fault current"
    MISSING = "missing"
    LIFTED = "lifted"


#: A member that is compared with again and again: Python 3.11 finds a member of an enumeration by a function.
MISSING: Final = Basis.MISSING


class Value(NamedTuple):
    """The largest prospective current [mA rms] at its own place for which a component is verified.

    current: 0 with basis MISSING where nothing holds. rule: by which rule of the method; because: in one sentence.
    refused: ratings that do not hold, each with why. capped_by: the devices whose breaking capacity cuts the value.
    relies_on: devices that it needs in place. earthed: whether it holds on an earthed system only (slash voltage, or
    between line and neutral). type_1: whether it rests on a type of coordination below 2.
    unprotected: whether it stands ahead of every protective device on a path.
    """

    current: MilliAmperes
    rule: str
    basis: Basis
    because: str
    refused: tuple[str, ...] = ()
    capped_by: tuple[str, ...] = ()
    relies_on: tuple[str, ...] = ()
    earthed: bool = False
    type_1: bool = False
    unprotected: bool = False
    code: str = ""

    @property
    def missing(self) -> bool:
        """Whether nothing holds, so that no rating can be given."""
        return self.basis is MISSING


#: A part that is out of the way while the staircase is worked out.
LIFTED: Final = Value(UNLIMITED, "P1", Basis.LIFTED, "lifted")


#: A finding of a rule: severity 'error' withholds, 'warning' and 'note' do not.
Remark = Finding
