"""The fault current of a site: each state walked for the maximum and the minimum, and the highest taken."""

from sccr.fault_current.case import Case
from sccr.fault_current.case import cases
from sccr.fault_current.currents import fault_values
from sccr.fault_current.currents import whole
from sccr.fault_current.derivation import derivation
from sccr.fault_current.findings import site_findings
from sccr.fault_current.findings import state_findings
from sccr.fault_current.network import Node
from sccr.fault_current.network import nodes
from sccr.fault_current.result import FaultCurrent
from sccr.fault_current.result import NodeResult
from sccr.fault_current.result import StateResult
from sccr.fault_current.scalar import point_to_point
from sccr.fault_current.site import Site
from sccr.fault_current.site import State
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import voltage_text
from sccr.fault_current.site import volts
from sccr.fault_current.tables import tables
from sccr.panel.voltage import Voltage
from sccr.units import VOLT
from sccr.units import MilliAmperes
from sccr.version import ENGINE_VERSION


def fault_current(site: Site) -> FaultCurrent:
    """Return the available fault current at the end of a site's chain, and the currents at every node before it.

    Parameters
    ----------
    site : Site
        Utility, transformers, conductors and motors in their order, and the method; one or several states.

    Returns
    -------
    FaultCurrent
        `available`: the highest of all kinds of fault and all states, rounded up to whole amperes [mA rms
        symmetrical]; None where an error finding makes it unsafe to use. `as_dict()` is the answer in JSON.

    References
    ----------
    Ohmic method, c = 1: vector sum of R and X as in IEEE 551; IEC 60909-0 for radial networks far from generators.
    NFPA 70 (NEC) 110.9, 110.24, 409.22, 670.5 ask for the value and its date; see `record`.
    """
    most, least = cases(site)
    states = tuple(_state(state, most, least) for state in site.states)
    general = tuple(site_findings(site))
    governing = max(states, key=_highest)
    wrong = any(each.severity == "error" for each in (*general, *(f for state in states for f in state.findings)))
    return FaultCurrent(
        method=site.method.value,
        frequency=f"{site.frequency:g} Hz",
        states=states,
        governing=governing,
        available=None if wrong else _highest(governing) or None,
        least=_least(states),
        general_findings=general,
        tables_digest=tables().digest,
        engine_version=ENGINE_VERSION,
        title=site.title,
        document_digest=site.document_digest,
    )


def _highest(state: StateResult) -> MilliAmperes:
    highest = state.terminals.highest
    return 0 if highest is None else highest.symmetrical


def _least(states: tuple[StateResult, ...]) -> MilliAmperes | None:
    lowest = [state.terminals.lowest for state in states]
    known = [value.symmetrical for value in lowest if value is not None]
    return min(known) if len(known) == len(states) else None


def _state(state: State, most: Case, least: Case) -> StateResult:
    maximum, minimum = nodes(state, most), nodes(state, least)
    scalar = point_to_point(state, maximum, most)
    no_minimum = state.utility.available.infinite and state.utility.minimum is None
    results = tuple(
        NodeResult(
            bus=node.bus or _bus(state, node),
            behind=node.behind,
            voltage=_voltage(state, node),
            volts=node.voltage,
            phases=node.phases,
            system=node.system.value,
            maximum=fault_values(node, most),
            minimum=() if no_minimum else fault_values(low, least),
            point_to_point=None if figure is None else whole(figure, up=True),
        )
        for node, low, figure in zip(maximum, minimum, scalar, strict=True)
    )
    return StateResult(
        name=state.name,
        nodes=results,
        findings=state_findings(state, most, maximum, results),
        derivation=derivation(state, most, maximum, results),
    )


def _bus(state: State, node: Node) -> str:
    last = max((number for number, each in enumerate(state.elements) if hasattr(each, "bus")), default=None)
    return "supply terminals" if node.number == last else f"behind {node.behind}"


def _voltage(state: State, node: Node) -> str:
    """Return the voltage of a node the trade's way: as the transformer or utility ahead of it writes it."""
    written = state.utility.voltage
    for element in state.elements[: 0 if node.number is None else node.number + 1]:
        if isinstance(element, Transformer):
            written = element.secondary
    return voltage_text(written if volts(written) == node.voltage else Voltage(round(node.voltage * VOLT)))
