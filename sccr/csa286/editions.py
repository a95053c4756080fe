"""The editions of CSA C22.2 No. 286 that are implemented."""

from typing import Final

from sccr.csa286.rule_set import CSA286

EDITIONS: Final = (
    CSA286(
        "CSA C22.2 No. 286:2017",
        "CSA C22.2 No. 286, 2017, by the method of UL 508A, Supplement SB (from memory)",
        "current",
    ),
)
