"""The available fault current at the supply terminals of a panel: what stands upstream, and what it can deliver.

From the utility through transformers and conductors to the terminals, with every motor beside them, as complex
impedances: `fault_current(site)` gives the currents at every point, the findings, and how they came about.
"""

from sccr.fault_current.calculation import fault_current
from sccr.fault_current.findings import supply_finding
from sccr.fault_current.power_factor import multiplying_factor
from sccr.fault_current.power_factor import power_factor_finding
from sccr.fault_current.record import record
from sccr.fault_current.result import FaultCurrent

__all__ = [
    "FaultCurrent",
    "fault_current",
    "multiplying_factor",
    "record",
    "supply_finding",
    "power_factor_finding",
]
