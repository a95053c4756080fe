"""The mistakes that engineers make with fault currents, looked for in a site and in its result (`pitfalls.csv`)."""

from collections.abc import Iterator
from math import isclose

from sccr.fault_current.case import Case
from sccr.fault_current.element_findings import element_findings
from sccr.fault_current.network import Node
from sccr.fault_current.power_factor import MOLDED_CASE
from sccr.fault_current.power_factor import multiplying_factor
from sccr.fault_current.power_factor import x_over_r_of_test
from sccr.fault_current.result import FaultCurrent
from sccr.fault_current.result import FaultKind
from sccr.fault_current.result import Finding
from sccr.fault_current.result import NodeResult
from sccr.fault_current.site import Motors
from sccr.fault_current.site import Site
from sccr.fault_current.site import State
from sccr.fault_current.stated import stated_findings
from sccr.fault_current.tables import finding
from sccr.fault_current.tables import tables
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.units import AMPERE
from sccr.units import VOLT
from sccr.units import MilliAmperes
from sccr.units import current_text

_LOW_VOLTAGE = 1000.0


def site_findings(site: Site) -> Iterator[Finding]:
    """Yield what is to be said of a site as a whole."""
    if len(site.states) == 1:
        told = "one state of the network is stated: tie breakers, generators or a larger transformer may bring more"
        yield finding("one-state-only", None, told)
    if site.method.value == "iec_60909" and site.voltage_tolerance is None:
        told = "the voltage tolerance of the low-voltage system is not stated: 10 % is taken, which gives the higher c"
        yield finding("voltage-tolerance-assumed", None, told)


def state_findings(
    state: State, case: Case, nodes: tuple[Node, ...], results: tuple[NodeResult, ...]
) -> tuple[Finding, ...]:
    """Return what is to be said of a state and of its maximum."""
    return (
        *element_findings(state, case, nodes),
        *_of_the_system(results[-1]),
        *_of_the_size(results),
        *_of_the_methods(results, nodes),
        *_of_the_power_factor(results[-1]),
        *_of_the_motors(state, results[-1]),
        *stated_findings(state, case, nodes),
    )


def _of_the_system(terminals: NodeResult) -> Iterator[Finding]:
    system = System(terminals.system)
    if system in (System.HIGH_LEG_DELTA, System.CORNER_GROUNDED_DELTA, System.UNGROUNDED_DELTA):
        told = (
            f"the system at the terminals is {system.value.replace('_', ' ')}: faults to ground are not computed here, "
            "and the duty of a single pole is to be looked at separately"
        )
        yield finding("not-a-balanced-wye", None, told)
    three, ground = terminals.of(FaultKind.THREE_PHASE), terminals.highest
    if three is not None and ground is not None and ground.symmetrical > three.symmetrical:
        told = (
            f"the {ground.kind.text} fault draws {current_text(ground.symmetrical)}, more than the three-phase one "
            f"({current_text(three.symmetrical)}): it is the available current"
        )
        yield finding("three-phase-not-worst", None, told)
    if terminals.system == System.SOLIDLY_GROUNDED_WYE and terminals.of(FaultKind.LINE_GROUND) is None:
        told = "zero-sequence current has no known way ahead of the terminals: faults to ground are not computed"
        yield finding("ground-fault-not-known", None, told)


def _of_the_size(results: tuple[NodeResult, ...]) -> Iterator[Finding]:
    limit = int(tables().defaults["highest_low_voltage_current"]) * AMPERE
    for node in results:
        highest = node.highest
        if highest is not None and highest.symmetrical > limit and _low(node):
            told = (
                f"{current_text(highest.symmetrical)} at {node.voltage} is more than low voltage has: check the units"
            )
            yield finding("current-implausible", node.behind, told)
    if results[-1].highest is None:
        yield finding("no-impedance", None, "an infinite bus without impedance behind it: no current can be told")


def _low(node: NodeResult) -> bool:
    return node.volts <= _LOW_VOLTAGE


def _of_the_methods(results: tuple[NodeResult, ...], nodes: tuple[Node, ...]) -> Iterator[Finding]:
    node, scalar = results[-1], results[-1].point_to_point
    kind = FaultKind.THREE_PHASE if node.phases == 3 else FaultKind.LINE_LINE
    vector = node.of(kind)
    if scalar is None or vector is None or any(len(each.sources) > 1 for each in nodes):
        return
    difference = (1 - scalar / vector.symmetrical) * 100
    if difference > tables().defaults["scalar_difference"]:
        told = (
            f"the scalar point-to-point figure, {current_text(scalar)}, is {difference:.1f} % below the vector sum, "
            f"{current_text(vector.symmetrical)}: it adds magnitudes, and is no basis for a maximum"
        )
        yield finding("scalar-differs", None, told)


def _of_the_power_factor(terminals: NodeResult) -> Iterator[Finding]:
    """Yield one finding for the bands of breaker ratings that can stand here and are tested at a lower X/R."""
    highest = terminals.highest
    if highest is None or not _low(terminals):
        return
    bands = []
    for circuit in tables().device_tests:
        rating = _rating(circuit.up_to)
        if circuit.device != MOLDED_CASE or rating < highest.symmetrical:
            continue
        factor = multiplying_factor(highest.x_over_r, rating)
        if factor > 1:
            limit = f"up to {current_text(rating)}" if circuit.up_to != float("inf") else "above 20 kA"
            bands.append(f"{limit}: × {factor:.2f} (tested at X/R {x_over_r_of_test(circuit):.2f})")
    if bands:
        ratio = "without resistance" if highest.x_over_r is None else f"{highest.x_over_r:.2f}"
        told = (
            f"X/R at the terminals is {ratio}; for molded-case breakers by interrupting rating the available current "
            f"is to be multiplied: {'; '.join(bands)}"
        )
        yield finding("x-over-r-above-test", None, told)


def _rating(up_to: float) -> MilliAmperes:
    return int(min(up_to, 200_000.0)) * AMPERE


def _of_the_motors(state: State, terminals: NodeResult) -> Iterator[Finding]:
    if not any(isinstance(element, Motors) for element in state.elements):
        told = "no motors beside the panel are stated: those on the same bus or upstream of it would add to the current"
        yield finding("motors-not-stated", None, told)
    elif isinstance(state.elements[-1], Motors):
        told = (
            "motors stand at the supply terminals: they count if they are beside the panel on the same bus; the "
            "panel's own motors do not feed its supply conductors"
        )
        yield finding("motors-at-terminals", terminals.behind, told)


def supply_finding(result: FaultCurrent, voltage: Voltage, phases: int) -> Finding | None:
    """Return the finding of a panel's supply that is not what the chain ends in, or None where the two agree."""
    terminals = result.terminals
    if terminals.phases == phases and isclose(terminals.volts, voltage.line / VOLT, rel_tol=0.1):
        return None
    told = (
        f"the source ends at {terminals.voltage}, phases {terminals.phases}, and the supply is {voltage.text}, "
        f"phases {phases}"
    )
    return finding("supply-voltage-differs", None, told)
