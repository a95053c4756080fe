"""The editions of UL 508A that are implemented, and what is known to differ between them."""

from typing import Final

from sccr.ul508a.rule_set import UL508A

_SAME = (
    "edition-difference-unknown",
    "no difference of Supplement SB between the 2nd and the 3rd edition is known here: rated as by the 3rd; "
    "hold the result against the edition that applies",
)

EDITIONS: Final = (
    UL508A("UL 508A:2018", "UL 508A, 3rd edition, April 2018, with revisions from August 2020", "current"),
    UL508A("UL 508A:2013", "UL 508A, 2nd edition, December 2013", "superseded", (_SAME,)),
)
