"""The dated record of a calculation, which goes with a panel's documents."""

from collections.abc import Mapping
from datetime import date as day
from typing import Any
from typing import Final

from sccr.fault_current.result import FaultCurrent

FORMAT: Final = "fault-current-record/1"

_BASIS: Final = (
    "NFPA 70 (NEC) 409.22(B): available fault current at an industrial control panel, with the date of its calculation",
    "NFPA 70 (NEC) 670.5: the same at industrial machinery",
    "NFPA 70 (NEC) 110.24: the same at service equipment",
)
_VALIDITY: Final = (
    "Valid for the network described here. Any change of the utility, a transformer, a conductor, a tie or the motors "
    "upstream calls for a new calculation."
)


def record(result: FaultCurrent, date: str | None, site: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the record of a result: the value, the date of the calculation [ISO 8601], and how it came about.

    `site`, the document that it was calculated from, is filed with it where it is handed over. A date of None says that
    it is still to be dated, as the record of a panel document that states none.
    Raises ValueError where the date is no date, or where the result has no available current (an error finding stands
    against it): there is nothing to document then.
    """
    if result.available is None:
        codes = ", ".join(sorted({each.code for each in result.findings if each.severity == "error"}))
        raise ValueError(f"no available fault current to document: {codes}")
    calculated = None if date is None else day.fromisoformat(date).isoformat()
    made = {"format": FORMAT, "date": calculated, "basis": list(_BASIS), "validity": _VALIDITY, **result.as_dict()}
    return made if site is None else {**made, "site": dict(site)}
