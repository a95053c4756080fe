"""How a fault current came about, line by line, so that it can be followed with a pencil."""

from collections.abc import Iterator
from typing import Final

from sccr.fault_current.case import Case
from sccr.fault_current.impedance import of_conductor
from sccr.fault_current.impedance import of_transformer
from sccr.fault_current.impedance import per_unit
from sccr.fault_current.motors import times
from sccr.fault_current.network import Node
from sccr.fault_current.result import Line
from sccr.fault_current.result import NodeResult
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Level
from sccr.fault_current.site import Motors
from sccr.fault_current.site import State
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import labels
from sccr.fault_current.site import voltage_text
from sccr.fault_current.site import volts
from sccr.fault_current.tables import tables
from sccr.units import current_text

#: What a line that concludes is about.
TERMINALS: Final = "terminals"

_Statement = tuple[str, str, str]


def derivation(state: State, case: Case, nodes: tuple[Node, ...], results: tuple[NodeResult, ...]) -> tuple[Line, ...]:
    """Return the lines of a state's maximum, in the order of the chain."""
    statements = _statements(state, case, nodes, results)
    return tuple(Line(number, *each) for number, each in enumerate(statements, start=1))


def _statements(
    state: State, case: Case, nodes: tuple[Node, ...], results: tuple[NodeResult, ...]
) -> Iterator[_Statement]:
    by_number = {node.number: place for place, node in enumerate(nodes)}
    yield "utility", _utility(state, nodes[0]), _reference(case)
    yield from _currents(nodes[0], results[0], case)
    place = 0
    for number, (element, label) in enumerate(zip(state.elements, labels(state.elements), strict=True)):
        if isinstance(element, Motors):
            yield label, _motors(element, nodes[place], case), "IEEE 551; trade rule of thumb"
            continue
        place = by_number[number]
        if isinstance(element, Transformer):
            yield label, _transformer(element, case), _reference(case)
        else:
            yield label, _conductor(element, case), _table(element)
        yield from _currents(nodes[place], results[place], case)
    yield from _end(results[-1])


def _reference(case: Case) -> str:
    return "IEC 60909-0" if case.iec else "ohmic method, vector sum"


def _ohms(impedance: complex) -> str:
    return f"{impedance.real:.5g} + j{impedance.imag:.5g} Ω"


def _level(level: Level) -> str:
    if level.infinite:
        return "an infinite bus"
    if level.volt_amperes is not None:
        return f"{level.volt_amperes / 1e6:g} MVA"
    return f"{level.current:g} A"


def _utility(state: State, node: Node) -> str:
    utility = state.utility
    ratio = "" if utility.x_over_r is None else f", X/R {utility.x_over_r:g}"
    return f"{_level(utility.available)} at {voltage_text(utility.voltage)}{ratio}: Z = {_ohms(node.upstream.line)}"


def _transformer(transformer: Transformer, case: Case) -> str:
    tolerance = case.tolerance(transformer)
    less = f" less {tolerance:g} %" if tolerance else ""
    own = per_unit(transformer)
    factor = case.transformer_factor(own.imag, transformer.nominal_voltage or volts(transformer.secondary))
    corrected = f", K_T {factor:.4f}" if factor != 1 else ""
    return (
        f"{transformer.volt_amperes / 1000:g} kVA, {voltage_text(transformer.primary)} to "
        f"{voltage_text(transformer.secondary)}, "
        f"{transformer.impedance:g} %{less}{corrected}: Z = {_ohms(of_transformer(transformer, case))}; what is ahead "
        f"is referred by ({volts(transformer.secondary):g}/{volts(transformer.primary):g})²"
    )


def _conductor(conductor: Conductor, case: Case) -> str:
    size = conductor.size or "stated impedance"
    conduit = "" if conductor.conduit is None else f" in {conductor.conduit.value} conduit"
    sets = f"{conductor.sets} × " if conductor.sets > 1 else ""
    return (
        f"{sets}{size} {conductor.material.value}{conduit}, {conductor.length:.5g} m one way at "
        f"{case.temperature(conductor):g} °C: Z = {_ohms(of_conductor(conductor, case))} a conductor"
    )


def _table(conductor: Conductor) -> str:
    return "as stated" if conductor.size is None else tables().sizes[conductor.size].source


def _motors(motors: Motors, node: Node, case: Case) -> str:
    if motors.drive_fed:
        return "motors behind drives: nothing"
    impedances = " and ".join(_ohms(each) for each in node.beside)
    return f"motors, {times(motors, case):g} × full-load current: motors at this node are Z = {impedances}"


def _currents(node: Node, result: NodeResult, case: Case) -> Iterator[_Statement]:
    if not result.maximum:
        return
    c = f"c = {case.voltage_factor(node.voltage):g}, " if case.iec else ""
    told = ", ".join(f"{value.kind.text} {current_text(value.symmetrical)}" for value in result.maximum)
    yield node.behind, f"at {node.voltage:g} V: {c}ΣZ = {_ohms(node.line)}: {told}", _reference(case)


def _end(terminals: NodeResult) -> Iterator[_Statement]:
    highest, lowest = terminals.highest, terminals.lowest
    if highest is not None:
        told = f"available: the {highest.kind.text} fault, {current_text(highest.symmetrical)} rms symmetrical"
        yield TERMINALS, f"{told}, rounded up to whole amperes", "the highest of all kinds of fault"
    if lowest is not None:
        told = f"minimum: the {lowest.kind.text} fault, {current_text(lowest.symmetrical)} rms symmetrical"
        yield TERMINALS, f"{told}, rounded down", "warm conductors, no motors, the least of the utility"
