"""The rating of a circuit by SB4.4: the lowest value of its device and parts after credit."""

from collections.abc import Iterable
from collections.abc import Mapping

from sccr.circuits import circuits as listed
from sccr.result import Circuit
from sccr.ul508a.assessment import Assessment
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes


def circuits(found: Assessment, withheld: bool, voltages: Mapping[str, str]) -> tuple[Circuit, ...]:
    """Return the supply circuits, then each protective device's feeder, branch or control circuit.

    voltages: the circuit of each component in words.
    """
    return listed(found.case, voltages, lambda names: None if withheld else circuit_current(found, names))


def circuit_current(found: Assessment, names: Iterable[str]) -> MilliAmperes | None:
    """Return the lowest value in a circuit [mA], None where nothing in it counts."""
    after = found.after
    current = min([after[name].current for name in names if name in after], default=UNLIMITED)
    return None if current >= UNLIMITED else current
