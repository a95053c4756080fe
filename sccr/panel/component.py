"""A component of the panel: what is marked on it, and what it is fed from."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Final

from sccr.panel.kinds import Kind
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.units import MilliAmperes


class SupplyType(StrEnum):
    """The kind of current that a rating is marked for."""

    AC = "ac"
    DC = "dc"


#: Looked up once: Python 3.11 finds a member of an enumeration by a function.
DIRECT_CURRENT: Final = SupplyType.DC


class Position(StrEnum):
    """A place in the circuit that changes the rule."""

    WYE_POINT = "wye_point"
    DRIVE_OUTPUT = "drive_output"
    BEHIND_CURRENT_TRANSFORMER = "behind_current_transformer"


@dataclass(frozen=True, slots=True)
class ProtectedBy:
    """The overcurrent protective device that a rating was tested with: its type, class or parts, maximum amperes.

    utilization_categories: of a fuse by IEC 60269, such as gG or aM, where it has no class of UL 248.
    """

    device: str  # "fuse" or "circuit_breaker"
    fuse_classes: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    max_amperes: MilliAmperes | None = None
    utilization_categories: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShortCircuitRating:
    """A short-circuit current rating [mA rms symmetrical] at a voltage, and the protection that it needs, if any."""

    current: MilliAmperes
    voltage: Voltage
    supply: SupplyType = SupplyType.AC
    protected_by: ProtectedBy | None = None


@dataclass(frozen=True, slots=True)
class InterruptingRating:
    """An interrupting rating [mA] at a voltage."""

    current: MilliAmperes
    voltage: Voltage
    supply: SupplyType = SupplyType.AC


@dataclass(frozen=True, slots=True)
class LetThrough:
    """A published point of a current-limiting breaker.

    At an `available` current [mA rms symmetrical] it lets through `peak` [mA peak] and `i2t` [A²s].
    """

    available: MilliAmperes
    peak: MilliAmperes
    voltage: Voltage
    i2t: Decimal | None = None
    supply: SupplyType = SupplyType.AC


@dataclass(frozen=True, slots=True)
class SeriesRating:
    """A tested series combination (UL 489): current [mA] behind the named line-side device."""

    line_side: ProtectedBy
    current: MilliAmperes
    voltage: Voltage
    reference: str | None = None
    supply: SupplyType = SupplyType.AC


class Capacity(StrEnum):
    """What kind of breaking capacity is stated: of a circuit-breaker by IEC 60947-2 or IEC 60898-1, or of a fuse."""

    ULTIMATE = "icu"
    SERVICE = "ics"
    RATED = "icn"
    FUSE = "fuse"


@dataclass(frozen=True, slots=True)
class BreakingCapacity:
    """A short-circuit breaking capacity [mA rms] at a voltage, of its kind."""

    current: MilliAmperes
    voltage: Voltage
    kind: Capacity
    supply: SupplyType = SupplyType.AC


@dataclass(frozen=True, slots=True)
class ConditionalRating:
    """A rated conditional short-circuit current [mA rms] behind the named protective device.

    coordination: type 1 or 2 by IEC 60947-4-1, where one is stated.
    """

    current: MilliAmperes
    voltage: Voltage
    protected_by: ProtectedBy
    coordination: int | None = None
    supply: SupplyType = SupplyType.AC


@dataclass(frozen=True, slots=True)
class ShortTimeRating:
    """A rated short-time withstand current [mA rms] for a duration [s], and the peak withstand current [mA peak]."""

    current: MilliAmperes
    duration: Decimal
    peak: MilliAmperes | None = None


@dataclass(frozen=True, slots=True)
class BackUpRating:
    """A tested back-up combination (IEC 60947-2 Annex A): current [mA rms] behind the named line-side device."""

    line_side: ProtectedBy
    current: MilliAmperes
    voltage: Voltage
    reference: str | None = None
    supply: SupplyType = SupplyType.AC


@dataclass(frozen=True, slots=True)
class Transformer:
    """Nameplate of a transformer: VA, voltages, %Z [percent as marked]."""

    secondaries: tuple[Voltage, ...]
    secondary_systems: tuple[System, ...]
    primary: Voltage | None = None
    volt_amperes: Decimal | None = None
    phases: int | None = None
    impedance_percent: Decimal | None = None
    isolated: bool | None = None


@dataclass(frozen=True, slots=True)
class Exemption:
    """A component that the document takes out of the rating, with the reason and where that is written."""

    reason: str
    reference: str | None = None


@dataclass(frozen=True, slots=True)
class Power:
    """Rated power as marked: exactly one of horsepower and watts is given."""

    horsepower: Decimal | None = None
    watts: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Component:
    """A component as marked. Quantities are integers in mA and mV; `None` is 'not stated'.

    clearing_time: how long a protective device lets a short circuit last at most [s].
    """

    id: str
    kind: Kind
    fed_from: tuple[str, ...]
    part: str | None = None
    control: bool = False
    position: Position | None = None
    exempt: Exemption | None = None
    poles: int | None = None
    amperes: MilliAmperes | None = None
    voltage: Voltage | None = None
    power: Power | None = None
    fuse_class: str | None = None
    interrupting_ratings: tuple[InterruptingRating, ...] = ()
    current_limiting: bool = False
    let_through: tuple[LetThrough, ...] = ()
    short_circuit_ratings: tuple[ShortCircuitRating, ...] = ()
    series_ratings: tuple[SeriesRating, ...] = ()
    self_protected: bool = False
    line_to_line: bool = False
    full_load_current: MilliAmperes | None = None
    in_field: bool = False
    location_stated: bool = False
    transformer: Transformer | None = None
    phases: int | None = None
    standards: tuple[str, ...] = ()
    accessories: tuple[str, ...] = ()
    accessory_limit: int | None = None
    mounting: str | None = None
    trip_curve: str | None = None
    utilization_category: str | None = None
    breaking_capacities: tuple[BreakingCapacity, ...] = ()
    conditional_ratings: tuple[ConditionalRating, ...] = ()
    short_time_ratings: tuple[ShortTimeRating, ...] = ()
    back_up_ratings: tuple[BackUpRating, ...] = ()
    clearing_time: Decimal | None = None
    from_catalogue: frozenset[str] = frozenset()

    @property
    def protective(self) -> bool:
        """Whether it is an overcurrent protective device (a supplementary protector never is)."""
        return self.kind.overcurrent or (self.kind.controller and self.self_protected)
