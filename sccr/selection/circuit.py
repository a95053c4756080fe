"""The circuit that a device is chosen for: its load, what feeds it, and what is wanted of the device."""

from dataclasses import dataclass
from dataclasses import field
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from sccr.editions import DEFAULT_EDITION
from sccr.panel.component import Component
from sccr.panel.component import Power
from sccr.panel.feeds import Feed
from sccr.panel.feeds import switched
from sccr.panel.feeds import system_feed
from sccr.panel.kinds import kinds
from sccr.panel.panel import Options
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.units import MilliAmperes


class Duty(StrEnum):
    """What the device is: the circuit's branch-circuit protection, or supplementary behind such protection."""

    BRANCH = "branch"
    SUPPLEMENTARY = "supplementary"


class MotorType(StrEnum):
    """The rows of NEC Table 430.52 that an AC motor is read in."""

    SQUIRREL_CAGE = "squirrel_cage"
    DESIGN_B_ENERGY_EFFICIENT = "design_b_energy_efficient"
    SYNCHRONOUS = "synchronous"
    WOUND_ROTOR = "wound_rotor"


class TransformerProtection(StrEnum):
    """The cases of NEC Table 450.3(B), and of the transformer of a motor control circuit (430.72(C))."""

    PRIMARY_ONLY = "primary_only"
    PRIMARY_AND_SECONDARY = "primary_and_secondary"
    SECONDARY = "secondary"
    CONTROL_CIRCUIT = "control_circuit"


@dataclass(frozen=True, slots=True)
class Motor:
    """A motor: power or full-load current [mA] of its nameplate, or both; `temperature_rise` [°C]."""

    name = "motor"
    power: Power | None = None
    full_load_current: MilliAmperes | None = None
    voltage: Voltage | None = None
    phases: int | None = None
    code_letter: str | None = None
    type: MotorType = MotorType.SQUIRREL_CAGE
    service_factor: Decimal | None = None
    temperature_rise: Decimal | None = None
    low_speed: bool = False


@dataclass(frozen=True, slots=True)
class Heater:
    """Resistance heating: `watts` [W] at its rated voltage, else at the circuit's."""

    name = "heater"
    watts: Decimal
    voltage: Voltage | None = None
    phases: int | None = None


@dataclass(frozen=True, slots=True)
class TransformerLoad:
    """A transformer of `volt_amperes` [VA], protected on the side that this circuit is."""

    name = "transformer"
    volt_amperes: Decimal
    protection: TransformerProtection = TransformerProtection.PRIMARY_ONLY
    phases: int | None = None


@dataclass(frozen=True, slots=True)
class Drive:
    """A drive: rated input current [mA]; its motor, if known; the largest protection [mA] of its instructions."""

    name = "drive"
    input_current: MilliAmperes
    motor: Motor | None = None
    max_amperes: MilliAmperes | None = None
    phases: int | None = None


@dataclass(frozen=True, slots=True)
class Receptacle:
    """`count` receptacles of an ampere rating [mA]."""

    name = "receptacle"
    amperes: MilliAmperes
    count: int = 1
    phases: int | None = 1


@dataclass(frozen=True, slots=True)
class Lighting:
    """Lighting: its current [mA]."""

    name = "lighting"
    current: MilliAmperes
    phases: int | None = 1


@dataclass(frozen=True, slots=True)
class PlainCurrent:
    """A load of which only the current [mA] is known."""

    name = "current"
    current: MilliAmperes
    phases: int | None = None


Load = Motor | Heater | TransformerLoad | Drive | Receptacle | Lighting | PlainCurrent


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is wished of the device beyond what the circuit requires; empty wishes exclude nothing."""

    kinds: tuple[str, ...] = ()
    standards: tuple[str, ...] = ()
    mounting: str | None = None
    accessories: tuple[str, ...] = ()
    trip_curve: str | None = None


@dataclass(frozen=True, slots=True)
class Circuit:
    """A circuit as stated. Quantities are integers in mA and mV; `ambient` is in °C; `None` is 'not stated'.

    poles: the ungrounded conductors to protect, where they are stated; `ungrounded` has them in any case.
    target: the rating that the order calls for; inrush_peak: crest of the current at switching on.
    round_up: whether a motor's protection may be the next higher standard size (430.52(C)(1)).
    edition: by whose practice the device is chosen; options: those of the edition, as a panel document has them.
    """

    load: Load
    voltage: Voltage
    system: System
    phases: int
    wires: int | None = None
    poles: int | None = None
    duty: Duty = Duty.BRANCH
    continuous: bool = True
    ambient: Decimal | None = None
    available_fault_current: MilliAmperes | None = None
    target: MilliAmperes | None = None
    conductor_ampacity: MilliAmperes | None = None
    inrush_peak: MilliAmperes | None = None
    round_up: bool = True
    designation: str | None = None
    wanted: Wanted = field(default_factory=Wanted)
    edition: str = DEFAULT_EDITION
    options: Options = field(default_factory=Options)

    @property
    def system_feed(self) -> Feed:
        """Return the system that the circuit is fed from."""
        return system_feed(self.designation or "supply", self.voltage, self.system, self.phases, self.wires)

    @property
    def ungrounded(self) -> int:
        """Return the number of ungrounded conductors: stated, else those of the load's phases."""
        return self.poles or poles_of(self.load.phases, self.system_feed, isinstance(self.load, Receptacle | Lighting))

    @property
    def feed(self) -> Feed:
        """Return what the circuit is fed with, behind a device of as many poles."""
        return narrowed(self.system_feed, self.ungrounded)


def poles_of(phases: int | None, feed: Feed, to_neutral: bool = False) -> int:
    """Return the ungrounded conductors of a load of one or three phases, unstated: as many as there are.

    to_neutral: whether a load of one phase stands at the neutral wherever there is one.
    """
    if phases != 1:
        return feed.conductors
    return 1 if to_neutral and feed.neutral else min(2, feed.conductors)


@lru_cache(maxsize=64)
def narrowed(feed: Feed, poles: int, line_to_line: bool = False) -> Feed:
    """Return the feed behind a device of so many poles, as the rating of a panel reads it (method, section 8)."""
    device = Component("-", kinds()["circuit_breaker"], (), poles=poles, line_to_line=line_to_line)
    return switched(feed, device)
