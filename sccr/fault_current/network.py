"""The chain walked from the utility to the terminals: what is seen from each node toward either side."""

from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace
from math import sqrt

from sccr.fault_current.case import Case
from sccr.fault_current.impedance import Impedances
from sccr.fault_current.impedance import nominal_voltage
from sccr.fault_current.impedance import of_conductor
from sccr.fault_current.impedance import of_transformer
from sccr.fault_current.impedance import of_utility
from sccr.fault_current.motors import motor_impedance
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Connection
from sccr.fault_current.site import Motors
from sccr.fault_current.site import State
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import connection
from sccr.fault_current.site import labels
from sccr.fault_current.site import volts
from sccr.panel.voltage import System

NO_NEUTRAL = "none"


@dataclass(frozen=True, slots=True)
class Node:
    """A place in the chain: behind the utility, a transformer or a run.

    behind: what it stands behind; number: of that among the elements, None for the utility; voltage: nominal
    line-to-line [V]. upstream: what is toward the utility, motors there included [Ω]; beside: the motors at the node
    [Ω]; downstream: the motors toward the load [Ω]. series, ratio: what leads here from the node ahead [Ω at this
    node], and the square of the voltage ratio; through: whether motors here feed the node ahead.
    """

    behind: str
    number: int | None
    bus: str | None
    voltage: float
    phases: int
    system: System
    upstream: Impedances
    beside: tuple[complex, ...] = ()
    downstream: complex | None = None
    series: complex = 0j
    ratio: float = 1.0
    through: bool = True

    @property
    def sources(self) -> tuple[complex, ...]:
        """Return what feeds a fault here, each way by itself [Ω]."""
        toward_load = () if self.downstream is None else (self.downstream,)
        return (self.upstream.line, *self.beside, *toward_load)

    @property
    def line(self) -> complex:
        """Return all of that in parallel [Ω]: a phase in three-phase systems, the loop line-line in others."""
        return parallel(self.sources)

    @property
    def behind_motors(self) -> Impedances:
        """Return what stands upstream of whatever follows: the motors here are among it."""
        return replace(self.upstream, line=parallel((self.upstream.line, *self.beside)))


def parallel(impedances: Sequence[complex]) -> complex:
    """Return impedances in parallel; nothing beside an infinite bus matters.

    >>> parallel([2 + 2j, 2 + 2j])
    (1+1j)
    """
    if len(impedances) == 1:
        return impedances[0]
    if any(each == 0 for each in impedances):
        return 0j
    return 1 / sum(1 / each for each in impedances)


def nodes(state: State, case: Case) -> tuple[Node, ...]:
    """Return every node of a state, the supply terminals last."""
    utility = state.utility
    found = [
        Node(
            "utility",
            None,
            utility.bus,
            volts(utility.voltage),
            utility.phases,
            utility.arrangement,
            of_utility(utility, case),
        )
    ]
    transformer: Transformer | None = None
    for number, (element, label) in enumerate(zip(state.elements, labels(state.elements), strict=True)):
        last = found[-1]
        if isinstance(element, Motors):
            found[-1] = _with_motors(last, motor_impedance(element, last, transformer, case))
        elif isinstance(element, Conductor):
            found.append(replace(_behind_conductor(last, element, case), behind=label, number=number))
        else:
            transformer = element
            found.append(replace(_behind_transformer(last, element, case), behind=label, number=number))
    return _with_motors_downstream(found)


def _with_motors(node: Node, motors: complex | None) -> Node:
    return node if motors is None else replace(node, beside=(*node.beside, motors))


def _behind_conductor(node: Node, conductor: Conductor, case: Case) -> Node:
    phase = of_conductor(conductor, case)
    ways: list[complex | None] = []
    for before, size in (
        (node.upstream.neutral, conductor.neutral_size),
        (node.upstream.ground, conductor.ground_size),
    ):
        if before is None or size == NO_NEUTRAL:
            ways.append(None)
        else:
            ways.append(before + _way_back(phase, of_conductor(conductor, case, size), node.phases, conductor))
    there_and_back = phase if node.phases == 3 else 2 * phase
    upstream = Impedances(node.behind_motors.line + there_and_back, *ways)
    return replace(
        node, bus=conductor.bus, upstream=upstream, beside=(), series=there_and_back, ratio=1.0, through=True
    )


def _way_back(phase: complex, back: complex, phases: int, conductor: Conductor) -> complex:
    """Return the loop by neutral or ground, or, of three phases, its zero-sequence impedance."""
    if phases == 1:
        return phase + back
    if conductor.zero_sequence_ratio is not None:
        return conductor.zero_sequence_ratio * phase
    return phase + 3 * back


def _behind_transformer(node: Node, transformer: Transformer, case: Case) -> Node:
    own = of_transformer(transformer, case)
    primary = volts(transformer.primary)
    ratio = (volts(transformer.secondary) / primary) ** 2
    single = transformer.phases == 1
    source = _loop(node, primary) if single else node.behind_motors.line
    upstream = Impedances(source * ratio + own)
    if transformer.system is System.SINGLE_PHASE_THREE_WIRE:
        half = source * ratio / 4 + complex(1.5 * own.real, 1.2 * own.imag) / 4
        upstream = Impedances(upstream.line, half, half)
    elif transformer.system is System.SOLIDLY_GROUNDED_WYE:
        zero = _zero_sequence(node, transformer, own, ratio)
        upstream = Impedances(upstream.line, zero, zero)
    return Node(
        behind="",
        number=None,
        bus=transformer.bus,
        voltage=nominal_voltage(transformer),
        phases=transformer.phases,
        system=transformer.system,
        upstream=upstream,
        series=own,
        ratio=ratio,
        through=transformer.phases == node.phases,
    )


def _loop(node: Node, primary: float) -> complex:
    """Return the loop that feeds a single-phase primary: between two lines, or a line and the neutral."""
    source = node.behind_motors
    between = connection(primary, node.voltage, node.phases, 1)
    if node.phases == 1:
        to_neutral = between is Connection.LINE_NEUTRAL and source.neutral is not None
        return source.neutral if to_neutral and source.neutral is not None else source.line
    if between is Connection.LINE_NEUTRAL:
        zero = source.line if source.neutral is None else source.neutral
        return (2 * source.line + zero) / 3
    return 2 * source.line


def _zero_sequence(node: Node, transformer: Transformer, own: complex, ratio: float) -> complex | None:
    zero = own * transformer.zero_sequence_ratio
    if not transformer.grounded_wye_primary:
        return zero
    return None if node.upstream.ground is None else node.upstream.ground * ratio + zero


def _with_motors_downstream(found: Sequence[Node]) -> tuple[Node, ...]:
    """Return the nodes with the motors that each sees toward the load, through what lies between."""
    seen: complex | None = None
    result = []
    for node, following in zip(reversed(found), [None, *reversed(found[1:])], strict=True):
        if following is not None:
            feeding = [*following.beside, *(() if seen is None else (seen,))]
            there = following.through and feeding
            seen = (parallel(feeding) + following.series) / following.ratio if there else None
        result.append(replace(node, downstream=seen))
    return tuple(reversed(result))


def line_to_neutral(node: Node) -> float:
    """Return the voltage from a line to the neutral or ground [V]."""
    return node.voltage / (sqrt(3) if node.phases == 3 else 2)
