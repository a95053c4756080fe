"""How the current at a supply was computed, step by step, for the derivation of a rating by any standard."""

from collections.abc import Iterator
from itertools import groupby
from operator import attrgetter
from typing import NamedTuple

from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.derivation import TERMINALS
from sccr.fault_current.power_factor import ratio_text
from sccr.units import MilliAmperes
from sccr.units import current_text


class CurrentStep(NamedTuple):
    """A step: what is said, and the current before and after it [mA], None where there is none."""

    statement: str
    before: MilliAmperes | None
    after: MilliAmperes | None


def steps_of(at: AtSupply) -> Iterator[CurrentStep]:
    """Yield a step for what stands upstream of a supply, element by element; none where nothing was computed."""
    calculation = at.calculation
    if calculation is None or calculation.available is None:
        return
    name, behind = at.supply.id, {node.behind: node.highest for node in calculation.nodes}
    for element, lines in groupby(calculation.derivation, key=attrgetter("element")):
        highest = behind.get(element)
        if element != TERMINALS:
            text = f"source of {name}, {element}: {'; '.join(line.statement for line in lines)}"
            yield CurrentStep(text, None, None if highest is None else highest.symmetrical)
    highest = calculation.terminals.highest
    assert highest is not None  # else nothing would be available
    text = f"available at {name}: the {highest.kind.text} fault, X/R {ratio_text(highest.x_over_r)}, rounded up"
    yield CurrentStep(text, None, calculation.available)
    if at.stated is not None and at.current is not None:
        text = f"available at {name}: of {current_text(at.stated)} stated and that computed the higher counts"
        yield CurrentStep(text, calculation.available, at.current)
