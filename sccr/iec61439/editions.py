"""The editions of IEC 61439-2 that are implemented."""

from typing import Final

from sccr.iec61439.rule_set import IEC61439

EDITIONS: Final = (
    IEC61439("IEC 61439-2:2020", "IEC 61439-2, edition 3.0, 2020, with IEC 61439-1:2020 and IEC 60204-1", "current"),
)
