"""Figures of another study beside our own: which of the usual mistakes would make the one of the other."""

from collections.abc import Iterator
from dataclasses import replace
from math import sqrt

from sccr.fault_current.case import Case
from sccr.fault_current.currents import amperes
from sccr.fault_current.network import Node
from sccr.fault_current.network import nodes as walked
from sccr.fault_current.result import FaultKind
from sccr.fault_current.result import Finding
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Level
from sccr.fault_current.site import Motors
from sccr.fault_current.site import State
from sccr.fault_current.site import labels
from sccr.fault_current.tables import finding
from sccr.fault_current.tables import tables


def stated_findings(state: State, case: Case, nodes: tuple[Node, ...]) -> Iterator[Finding]:
    """Yield what is to be said of each figure [A] that an element states, held against the maximum there."""
    for node in nodes:
        if node.number is None:
            continue
        element = state.elements[node.number]
        stated = None if isinstance(element, Motors) else element.stated
        if stated is not None:
            yield from _compared(state, case, node, stated)


def _compared(state: State, case: Case, node: Node, stated: float) -> Iterator[Finding]:
    ours = line_current(node, case)
    if ours is None or _near(stated, ours):
        return
    figures = f"{stated:.0f} A is stated and {ours:.0f} A computed"
    skipped = _skipped(state, case, node, stated)
    if _near(stated, ours * sqrt(3)) or _near(stated * sqrt(3), ours):
        told = f"{figures}: the ratio is √3, which was dropped or taken twice (line-to-line or line-to-neutral volts)"
        yield finding("stated-current-differs", node.behind, told)
    elif skipped is not None:
        told = f"{figures}: the stated figure is met by leaving out {skipped}; it hangs on the wrong node"
        yield finding("stated-current-skips-element", node.behind, told)
    else:
        told = f"{figures}, {(stated / ours - 1) * 100:+.1f} %"
        yield finding("stated-current-differs", node.behind, told)
    limit = _on_infinite_bus(state, case, node)
    if limit is not None and stated > limit * (1 + _threshold()):
        told = f"{stated:.0f} A is stated, more than the {limit:.0f} A that an infinite bus would bring"
        yield finding("stated-above-infinite-bus", node.behind, told)


def line_current(node: Node, case: Case) -> float | None:
    """Return the three-phase current at a node, or the line-to-line one of a single-phase system [A]."""
    kind = FaultKind.THREE_PHASE if node.phases == 3 else FaultKind.LINE_LINE
    return amperes(node, case).get(kind)


def _threshold() -> float:
    return tables().defaults["stated_difference"] / 100


def _near(one: float, other: float) -> bool:
    return abs(one / other - 1) <= _threshold()


def _skipped(state: State, case: Case, node: Node, stated: float) -> str | None:
    """Return the run upstream without which the stated figure comes out, if there is one."""
    names = labels(state.elements)
    for number, element in enumerate(state.elements[: node.number]):
        if not isinstance(element, Conductor):
            continue
        without = replace(state, elements=state.elements[:number] + state.elements[number + 1 :])
        place = next(each for each in walked(without, case) if each.number == (node.number or 0) - 1)
        current = line_current(place, case)
        if current is not None and _near(stated, current):
            return names[number]
    return None


def _on_infinite_bus(state: State, case: Case, node: Node) -> float | None:
    infinite = replace(state.utility, available=Level(), line_to_ground=None)
    place = next(each for each in walked(replace(state, utility=infinite), case) if each.number == node.number)
    return line_current(place, case)
