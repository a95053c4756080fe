"""What stands upstream of a panel: a chain from the utility to the supply terminals. Values are floats in SI units."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.units import KILO
from sccr.units import VOLT


class Method(StrEnum):
    """How a fault current is calculated."""

    OHMIC = "ohmic"
    IEC_60909 = "iec_60909"


class Material(StrEnum):
    """What a conductor is made of."""

    COPPER = "copper"
    ALUMINUM = "aluminum"


class Conduit(StrEnum):
    """What a conductor lies in: steel raises its reactance, metal its resistance."""

    STEEL = "steel"
    PVC = "pvc"
    ALUMINUM = "aluminum"


@dataclass(frozen=True, slots=True)
class Level:
    """What a utility can deliver [A rms symmetrical, or VA]; neither of them: an infinite bus."""

    current: float | None = None
    volt_amperes: float | None = None

    @property
    def infinite(self) -> bool:
        """Whether the source has no impedance of its own."""
        return self.current is None and self.volt_amperes is None

    def amperes(self, volts: float, phases: int) -> float | None:
        """Return the current [A] at a line-to-line voltage [V]; None of an infinite bus."""
        if self.volt_amperes is not None:
            return self.volt_amperes / (volts * (sqrt(3) if phases == 3 else 1))
        return self.current


@dataclass(frozen=True, slots=True)
class Utility:
    """The utility at the point where the chain begins.

    minimum: what it delivers at least, for the minimum current; cross_check: the same as `available` in the other
    unit; line_to_ground: what it delivers to ground or neutral [A].
    """

    voltage: Voltage
    available: Level
    phases: int = 3
    x_over_r: float | None = None
    minimum: Level | None = None
    minimum_x_over_r: float | None = None
    line_to_ground: float | None = None
    cross_check: Level | None = None
    system: System | None = None
    bus: str | None = None

    @property
    def arrangement(self) -> System:
        """Return the system as stated, or as the form of the voltage tells it."""
        return self.system or system_of(self.voltage, self.phases)


@dataclass(frozen=True, slots=True)
class Transformer:
    """A transformer in the chain.

    Rated power [VA], voltages, impedance [%], load loss [W]. tolerance: of the impedance [%], None where not stated;
    measured: the impedance is that of this very transformer, off its nameplate; grounded_wye_primary: passes
    zero-sequence current, else the primary is taken as delta; zero_sequence_ratio: Z0/Z1; nominal_voltage: of the
    system behind it [V], where that is not the rated secondary voltage; stated: what another study gives [A].
    """

    volt_amperes: float
    primary: Voltage
    secondary: Voltage
    impedance: float
    phases: int = 3
    x_over_r: float | None = None
    load_loss: float | None = None
    tolerance: float | None = None
    measured: bool = False
    secondary_system: System | None = None
    grounded_wye_primary: bool = False
    zero_sequence_ratio: float = 1.0
    nominal_voltage: float | None = None
    bus: str | None = None
    stated: float | None = None

    @property
    def system(self) -> System:
        """Return the system of the secondary, as stated or as the form of its voltage tells it."""
        return self.secondary_system or system_of(self.secondary, self.phases)

    @property
    def full_load_current(self) -> float:
        """Return the rated secondary current [A]."""
        return self.volt_amperes / (volts(self.secondary) * (sqrt(3) if self.phases == 3 else 1))


@dataclass(frozen=True, slots=True)
class Conductor:
    """A run of conductors, one way [m], of parallel `sets`.

    Either a size of the tables ("3/0 AWG", "500 kcmil", "95 mm²") with its material and conduit, or resistance and
    reactance [Ω/m] with the temperature of the resistance [°C]. temperature, end_temperature: for the maximum and the
    minimum [°C]; neutral_size, ground_size: of the way back, the phase's size where not stated, "none" for no neutral;
    zero_sequence_ratio: Z0/Z1 in place of both; stated: what another study gives at the load side [A].
    """

    length: float
    sets: int = 1
    size: str | None = None
    material: Material = Material.COPPER
    conduit: Conduit | None = None
    resistance: float | None = None
    resistance_temperature: float | None = None
    reactance: float | None = None
    temperature: float | None = None
    end_temperature: float | None = None
    neutral_size: str | None = None
    ground_size: str | None = None
    zero_sequence_ratio: float | None = None
    bus: str | None = None
    stated: float | None = None


@dataclass(frozen=True, slots=True)
class Motors:
    """Motors at a point of the chain, which feed a fault there and behind it.

    One of full_load_current [A], horsepower [hp, the sum] and share_of_transformer [% of the full-load current of the
    transformer ahead]. contribution: times full-load current, else that of the group; drive_fed: behind drives
    without bypass or regeneration, which feed nothing.
    """

    full_load_current: float | None = None
    horsepower: float | None = None
    share_of_transformer: float | None = None
    contribution: float | None = None
    group: str | None = None
    x_over_r: float | None = None
    drive_fed: bool = False


Element = Transformer | Conductor | Motors


@dataclass(frozen=True, slots=True)
class State:
    """One state of what is upstream: a tie open or closed, the generator or the utility."""

    name: str
    utility: Utility
    elements: tuple[Element, ...] = ()


@dataclass(frozen=True, slots=True)
class Site:
    """All states of what is upstream of a panel, and how the current is calculated.

    voltage_tolerance: of the low-voltage system [%], which IEC 60909-0 asks for; None where not stated.
    """

    states: tuple[State, ...]
    method: Method = Method.OHMIC
    frequency: float = 60.0
    voltage_tolerance: int | None = None
    title: str | None = None
    document_digest: str | None = None


def volts(voltage: Voltage) -> float:
    """Return the line-to-line voltage [V]."""
    return voltage.line / VOLT


def voltage_text(voltage: Voltage) -> str:
    """Return a voltage as it is said: medium voltage in kilovolts.

    >>> voltage_text(Voltage(13_800_000)), voltage_text(Voltage(480_000))
    ('13.8 kV', '480 V')
    """
    return f"{volts(voltage) / KILO:g} kV" if volts(voltage) >= KILO else voltage.text


def system_of(voltage: Voltage, phases: int) -> System:
    """Return the system that a voltage tells by its form, as for the secondaries of a panel's transformers."""
    if voltage.form is Form.WYE:
        return System.SOLIDLY_GROUNDED_WYE
    if voltage.form is Form.THREE_WIRE:
        return System.SINGLE_PHASE_THREE_WIRE if phases == 1 else System.HIGH_LEG_DELTA
    return System.UNGROUNDED_DELTA if phases == 3 else System.SINGLE_PHASE_TWO_WIRE


def labels(elements: Sequence[Element]) -> tuple[str, ...]:
    """Return what each element is called: its kind and its number among its kind.

    >>> labels([Conductor(10), Motors(1), Conductor(20)])
    ('conductor 1', 'motors 1', 'conductor 2')
    """
    counts: dict[str, int] = {}
    named = []
    for element in elements:
        kind = type(element).__name__.lower()
        counts[kind] = counts.get(kind, 0) + 1
        named.append(f"{kind} {counts[kind]}")
    return tuple(named)


class Connection(StrEnum):
    """Between which conductors a primary stands."""

    LINE_LINE = "line_line"
    LINE_NEUTRAL = "line_neutral"


_FITS = 1.25


def connection(primary: float, line: float, phases: int, transformer_phases: int) -> Connection | None:
    """Return how a primary [V] stands on a system of a line-to-line voltage [V], or None where it fits neither way.

    >>> connection(7200, 12470, 3, 1), connection(480, 13800, 3, 3)
    (<Connection.LINE_NEUTRAL: 'line_neutral'>, None)
    """
    if transformer_phases > phases:
        return None
    neutral = line / (sqrt(3) if phases == 3 else 2)
    ways = {Connection.LINE_LINE: line}
    if transformer_phases == 1:
        ways[Connection.LINE_NEUTRAL] = neutral
    way, value = min(ways.items(), key=lambda each: abs(primary / each[1] - 1))
    return way if 1 / _FITS <= primary / value <= _FITS else None
