"""The mistakes that can be made in what stands upstream: utility, transformers, conductors, motors."""

from collections.abc import Iterator
from itertools import pairwise
from math import sqrt

from sccr.fault_current.case import Case
from sccr.fault_current.network import Node
from sccr.fault_current.result import Finding
from sccr.fault_current.site import Conductor
from sccr.fault_current.site import Motors
from sccr.fault_current.site import State
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import Utility
from sccr.fault_current.site import labels
from sccr.fault_current.site import voltage_text
from sccr.fault_current.site import volts
from sccr.fault_current.tables import finding
from sccr.fault_current.tables import tables
from sccr.panel.voltage import System

_MEDIUM_VOLTAGE = 1000.0
#: A transformer on a strong utility brings from this share of its current on an infinite bus on.
_SIDE_LEAST = 0.9
#: %Z is written with two decimals.
_SAME_IMPEDANCE = 1.5e-3


def element_findings(state: State, case: Case, nodes: tuple[Node, ...]) -> Iterator[Finding]:
    """Yield what is to be said of the utility and of each element."""
    yield from _of_utility(state.utility, case)
    yield from _of_the_side(state)
    ahead = {node.number: before for before, node in pairwise(nodes)}
    for number, (element, label) in enumerate(zip(state.elements, labels(state.elements), strict=True)):
        if isinstance(element, Transformer):
            yield from _of_transformer(element, label, ahead[number], case)
        elif isinstance(element, Conductor):
            yield from _of_conductor(element, label, ahead[number], case)
        else:
            yield from _of_motors(element, label)


def _of_utility(utility: Utility, case: Case) -> Iterator[Finding]:
    if utility.available.infinite:
        told = "an infinite bus is the most that there can be; it gives no minimum"
        yield finding("infinite-bus", "utility", told)
        return
    if utility.x_over_r is None:
        taken = "X/R 10" if case.iec else "pure reactance"
        yield finding("x-over-r-assumed", "utility", f"X/R of the utility is not stated: taken as {taken}")
    if utility.minimum is None:
        told = "the least that the utility delivers is not stated: the minimum rests on its highest figure"
        yield finding("minimum-of-utility-not-stated", "utility", told)
    yield from _of_the_utility_figure(utility)


def _of_the_side(state: State) -> Iterator[Finding]:
    """Yield that a utility's current at medium voltage may be one behind the transformer, as it is often given."""
    first = next((each for each in state.elements if isinstance(each, Transformer)), None)
    stated = state.utility.available.current
    if first is None or stated is None or state.utility.cross_check is not None:
        return
    behind = first.full_load_current * 100 / first.impedance
    if volts(state.utility.voltage) <= _MEDIUM_VOLTAGE or not _SIDE_LEAST * behind <= stated <= behind / _SIDE_LEAST:
        return
    told = (
        f"{stated:.0f} A at {voltage_text(state.utility.voltage)} is about what the transformer behind it brings at "
        f"{voltage_text(first.secondary)} ({behind:.0f} A): at which terminals is it? State cross_check in MVA"
    )
    yield finding("utility-figure-of-secondary", "utility", told)


def _of_the_utility_figure(utility: Utility) -> Iterator[Finding]:
    line = volts(utility.voltage)
    current = utility.available.amperes(line, utility.phases) or 0.0
    power = current * line * (sqrt(3) if utility.phases == 3 else 1)
    defaults = tables().defaults
    if line > _MEDIUM_VOLTAGE and not defaults["least_utility_power"] <= power <= defaults["most_utility_power"]:
        told = f"{power / 1e6:.3g} MVA at {voltage_text(utility.voltage)} is no usual network: check unit and voltage"
        yield finding("utility-implausible", "utility", told)
    other = None if utility.cross_check is None else utility.cross_check.amperes(line, utility.phases)
    if other is not None and abs(other / current - 1) > defaults["stated_difference"] / 100:
        ratio = max(other / current, current / other)
        root = ", a factor of √3" if abs(ratio / sqrt(3) - 1) < defaults["stated_difference"] / 100 else ""
        told = f"the two figures of the utility are {current:.0f} A and {other:.0f} A{root}: one of them is wrong"
        yield finding("cross-check-differs", "utility", told)


def _of_transformer(transformer: Transformer, label: str, ahead: Node, case: Case) -> Iterator[Finding]:
    yield from _of_impedance(transformer, label, case)
    defaults = tables().defaults
    if transformer.x_over_r is None and transformer.load_loss is None:
        told = "neither X/R nor load loss is stated: taken as pure reactance"
        yield finding("x-over-r-assumed", label, told)
    kva = transformer.volt_amperes / 1000
    base = _fan_base(kva, transformer.phases)
    if base is not None:
        told = f"{kva:g} kVA is no preferred size, and {base:g} kVA with fans is: %Z belongs to the self-cooled rating"
        yield finding("kva-may-be-fan-rating", label, told)
    primary, line = volts(transformer.primary), ahead.voltage
    neutral = line / (sqrt(3) if ahead.phases == 3 else 2)
    off = min(abs(primary / line - 1), abs(primary / neutral - 1) if transformer.phases == 1 else 1.0)
    if off * 100 > defaults["voltage_difference"]:
        stands = f"the primary is {voltage_text(transformer.primary)} and the system ahead {line:g} V"
        told = f"{stands}: is this the right side of the transformer?"
        yield finding("utility-voltage-differs", label, told)
    yield from _of_secondary(transformer, label, case)


def _of_secondary(transformer: Transformer, label: str, case: Case) -> Iterator[Finding]:
    nominal, rated = transformer.nominal_voltage, volts(transformer.secondary)
    if nominal is None and rated <= _MEDIUM_VOLTAGE and rated not in tables().nominal_voltages:
        told = (
            f"{rated:g} V is no nominal voltage: where it is the rated one of a transformer on a system of another, "
            "state nominal_voltage"
        )
        yield finding("nominal-voltage-not-stated", label, told)
    if nominal is not None and nominal != rated:
        driven = f"c × {nominal:g} V drives the fault" if case.iec else f"{nominal:g} V drives the fault"
        stands = f"rated {voltage_text(transformer.secondary)} on a {nominal:g} V system"
        told = f"{stands}: referred by rated voltages; {driven}"
        yield finding("rated-voltage-differs", label, told)


def _of_impedance(transformer: Transformer, label: str, case: Case) -> Iterator[Finding]:
    defaults = tables().defaults
    if not defaults["least_impedance"] <= transformer.impedance <= defaults["most_impedance"]:
        told = f"an impedance of {transformer.impedance:g} % is unusual: has it been written as a fraction?"
        yield finding("impedance-unusual", label, told)
    if transformer.measured:
        return
    if transformer.tolerance is None and not case.iec:
        told = (
            f"no tolerance of the impedance is stated: {case.tolerance(transformer):g} % is taken off; state it "
            "(10 % by UL 1561, 7.5 % by IEEE C57.12 above 2.5 %), or that the impedance is measured"
        )
        yield finding("impedance-tolerance-assumed", label, told)
    yield from _of_tolerance_twice(transformer, label, case)
    if transformer.tolerance is None:
        return
    if transformer.tolerance > defaults["most_tolerance"]:
        yield finding("impedance-tolerance-unusual", label, f"a tolerance of {transformer.tolerance:g} % is unusual")
    elif transformer.tolerance and case.iec:
        told = f"a tolerance of {transformer.tolerance:g} % is taken off beside K_T, which stands for it already"
        yield finding("tolerance-beside-k-t", label, told)


def _of_tolerance_twice(transformer: Transformer, label: str, case: Case) -> Iterator[Finding]:
    """Yield that %Z is the usual one of its kind less a tolerance, and a tolerance is taken off it."""
    usual, tolerance = tables().defaults["usual_impedance"], case.tolerance(transformer)
    for taken in {row.tolerance for row in tables().transformer_tolerances}:
        if tolerance and abs(transformer.impedance / (usual * (1 - taken / 100)) - 1) < _SAME_IMPEDANCE:
            told = (
                f"{transformer.impedance:g} % is {usual:g} % less {taken:g} %: if the tolerance is off already, state "
                'impedance_tolerance "0 %"; it is taken off once'
            )
            yield finding("impedance-tolerance-twice", label, told)


def _fan_base(kva: float, phases: int) -> float | None:
    """Return the preferred size that this rating is with fans, unless it is a preferred size itself."""
    sizes = tables().standard_sizes[phases]
    if kva in sizes:
        return None
    close = (size for size in sorted(sizes) for factor in tables().fan_factors if abs(kva / size / factor - 1) < 2e-3)
    return next(close, None)


def _of_conductor(conductor: Conductor, label: str, ahead: Node, case: Case) -> Iterator[Finding]:
    defaults = tables().defaults
    if conductor.length > defaults["longest_run"] and ahead.voltage <= _MEDIUM_VOLTAGE:
        told = f"{conductor.length:.0f} m is a long run at {ahead.voltage:g} V: are feet and meters right?"
        yield finding("run-unusually-long", label, told)
    if case.iec and conductor.temperature is not None:
        told = "IEC 60909-0 takes conductors at 20 °C for the maximum: the temperature stated is not used"
        yield finding("temperature-not-used", label, told)
    elif conductor.temperature is not None and conductor.temperature > defaults["cold_conductor"]:
        told = f"{conductor.temperature:g} °C lowers the maximum: a cold conductor carries more"
        yield finding("hot-conductor-for-maximum", label, told)
    if conductor.size is not None:
        yield from _of_size(conductor, conductor.size, label)
    elif ahead.voltage <= _MEDIUM_VOLTAGE and conductor.reactance is not None:
        per_kilometer = conductor.reactance * 1000
        if not defaults["least_reactance"] <= per_kilometer <= defaults["most_reactance"]:
            told = f"a reactance of {per_kilometer:.3g} Ω/km is none of low-voltage cable: per km, or per 1000 ft?"
            yield finding("conductor-impedance-unusual", label, told)
    stated = conductor.zero_sequence_ratio or (conductor.neutral_size and conductor.ground_size)
    if ahead.system in (System.SOLIDLY_GROUNDED_WYE, System.SINGLE_PHASE_THREE_WIRE) and not stated:
        told = "the way back is not stated: neutral and ground are taken in the phase's size, which is on the high side"
        yield finding("way-back-assumed", label, told)


def _of_size(conductor: Conductor, name: str, label: str) -> Iterator[Finding]:
    size = tables().sizes[name]
    if conductor.conduit is None:
        yield finding("conduit-assumed", label, "no conduit is stated: PVC is taken, which has the lowest impedance")
    if conductor.sets > 1 and size.area < tables().defaults["least_parallel_area"]:
        told = f"{conductor.sets} parallel sets of {name}: sets below 1/0 AWG are not run in parallel"
        yield finding("parallel-sets-too-small", label, told)
    if size.weak:
        told = f"the impedance of {name} is from one copy of a table or from memory ({size.source}): check it in print"
        yield finding("table-value-uncertain", label, told)


def _of_motors(motors: Motors, label: str) -> Iterator[Finding]:
    if motors.drive_fed:
        told = "motors behind drives feed nothing, unless a bypass is closed or the drive regenerates"
        yield finding("motors-drive-fed", label, told)
    elif motors.full_load_current is None and motors.horsepower is not None:
        told = f"the full-load current of {motors.horsepower:g} hp is taken at 1 kVA per horsepower: state it"
        yield finding("horsepower-assumed", label, told)
