"""Figures of another study beside our own: which of the usual mistakes would make the one of the other."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import sqrt

from sccr.fault_current.asymmetry import kappa_peak
from sccr.fault_current.asymmetry import x_over_r
from sccr.fault_current.case import Case
from sccr.fault_current.currents import amperes
from sccr.fault_current.network import Node
from sccr.fault_current.network import nodes as walked
from sccr.fault_current.result import FaultKind
from sccr.fault_current.result import Finding
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Level
from sccr.fault_current.site import Method
from sccr.fault_current.site import Motors
from sccr.fault_current.site import State
from sccr.fault_current.site import labels
from sccr.fault_current.tables import finding
from sccr.fault_current.tables import tables

#: Figures are rounded to hundreds of amperes where they are rounded.
_ROUND = 100.0


def stated_findings(state: State, case: Case, nodes: tuple[Node, ...]) -> Iterator[Finding]:
    """Yield what is to be said of each figure [A] that an element states, held against the maximum there."""
    told = [(node, stated) for node in nodes if (stated := _stated(state, node)) is not None]
    for node, stated in told:
        yield from _compared(state, case, node, stated)
    for (before, most), (node, stated) in pairwise(told):
        if stated > most and _falls(nodes, before, node):
            rise = f"{stated:.0f} A is stated behind {most:.0f} A, with neither a transformer nor motors between"
            yield finding("stated-current-rises", node.behind, f"{rise}: one of them is of another place")


def _stated(state: State, node: Node) -> float | None:
    element = None if node.number is None else state.elements[node.number]
    return None if element is None or isinstance(element, Motors) else element.stated


def _falls(nodes: tuple[Node, ...], before: Node, node: Node) -> bool:
    """Return whether current can only fall from one node to another: nothing but runs lie between, and no motors."""
    between = nodes[nodes.index(before) : nodes.index(node) + 1]
    return all(each.ratio == 1.0 for each in between[1:]) and all(len(each.sources) == 1 for each in between)


def _compared(state: State, case: Case, node: Node, stated: float) -> Iterator[Finding]:
    ours = line_current(node, case)
    if ours is None:
        return
    if _near(stated, ours):
        yield from _rounded(node, stated, ours)
        return
    yield from _differs(state, case, node, stated, ours)
    limit = _on_infinite_bus(state, case, node)
    if limit is not None and stated > limit * (1 + _threshold()):
        told = f"{stated:.0f} A is stated, more than the {limit:.0f} A that an infinite bus would bring"
        yield finding("stated-above-infinite-bus", node.behind, told)


def _rounded(node: Node, stated: float, ours: float) -> Iterator[Finding]:
    if stated < ours and stated % _ROUND == 0:
        told = f"{stated:.0f} A is stated and {ours:.0f} A computed: what is held against ratings is not rounded down"
        yield finding("stated-current-rounded-down", node.behind, told)


def _differs(state: State, case: Case, node: Node, stated: float, ours: float) -> Iterator[Finding]:
    """Yield which mistake makes the stated figure [A] of ours, or by how much it differs where none does."""
    figures = f"{stated:.0f} A is stated and {ours:.0f} A computed"
    peak = ours * kappa_peak(x_over_r(node.line))
    if _near(stated, peak):
        told = f"{figures}: the stated figure is the peak ({peak:.0f} A), and ratings are rms symmetrical"
        yield finding("stated-current-is-peak", node.behind, told)
    skipped, other = _skipped(state, case, node, stated), _by_the_other_method(state, case, node)
    if _near(stated, ours * sqrt(3)) or _near(stated * sqrt(3), ours):
        told = f"{figures}: the ratio is √3, which was dropped or taken twice (line-to-line or line-to-neutral volts)"
        yield finding("stated-current-differs", node.behind, told)
    elif skipped is not None:
        told = f"{figures}: the stated figure is met by leaving out {skipped}; it hangs on the wrong node"
        yield finding("stated-current-skips-element", node.behind, told)
    elif other is not None and _near(stated, other):
        told = f"{figures}: the stated figure is that of the other method ({other:.0f} A); the two are not to be mixed"
        yield finding("stated-current-of-other-method", node.behind, told)
    elif not _near(stated, peak):
        told = f"{figures}, {(stated / ours - 1) * 100:+.1f} %"
        yield finding("stated-current-differs", node.behind, told)


def _by_the_other_method(state: State, case: Case, node: Node) -> float | None:
    method = Method.OHMIC if case.iec else Method.IEC_60909
    other = replace(case, method=method)
    return line_current(_same(walked(state, other), node.number), other)


def _same(nodes: tuple[Node, ...], number: int | None) -> Node:
    return next(each for each in nodes if each.number == number)


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
        place = _same(walked(without, case), (node.number or 0) - 1)
        current = line_current(place, case)
        if current is not None and _near(stated, current):
            return names[number]
    return None


def _on_infinite_bus(state: State, case: Case, node: Node) -> float | None:
    infinite = replace(state.utility, available=Level(), line_to_ground=None)
    return line_current(_same(walked(replace(state, utility=infinite), case), node.number), case)
