"""A part of the catalogue as a device that may protect a circuit, and what it interrupts there."""

from collections.abc import Iterable
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from typing import Protocol

from sccr.panel.component import BreakingCapacity
from sccr.panel.component import ConditionalRating
from sccr.panel.component import InterruptingRating
from sccr.panel.component import Power
from sccr.panel.component import SupplyType
from sccr.panel.feeds import Feed
from sccr.panel.kinds import Kind
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.selection.requirement import BREAKER
from sccr.selection.requirement import NON_TIME_DELAY_FUSE
from sccr.selection.requirement import SELF_PROTECTED
from sccr.selection.requirement import TIME_DELAY_FUSE
from sccr.selection.tables import tables
from sccr.ul508a.subject import serves
from sccr.ul508a.tables import tables as standard_tables
from sccr.units import VOLT
from sccr.units import MilliAmperes
from sccr.units import current_text

#: What a catalogue may write as the trip curve of a fuse, and the column of Table 430.52 that it is.
FUSE_CURVES = {
    "time delay": TIME_DELAY_FUSE,
    "dual element": TIME_DELAY_FUSE,
    "non time delay": NON_TIME_DELAY_FUSE,
    "fast acting": NON_TIME_DELAY_FUSE,
}


class StockedPart(Protocol):
    """A part as the catalogue has it: `fields` holds its markings, read, by the names of a panel document."""

    @property
    def part(self) -> str: ...  # noqa: D102
    @property
    def kind(self) -> Kind: ...  # noqa: D102
    @property
    def fields(self) -> Mapping[str, Any]: ...  # noqa: D102
    @property
    def description(self) -> str | None: ...  # noqa: D102
    @property
    def price(self) -> Decimal | None: ...  # noqa: D102
    @property
    def stock(self) -> int | None: ...  # noqa: D102
    @property
    def time_delay(self) -> bool | None: ...  # noqa: D102
    @property
    def ambient_ratings(self) -> tuple[tuple[Decimal, MilliAmperes], ...]: ...  # noqa: D102


class Stock(Protocol):
    """A catalogue: its parts by number, and its digest."""

    @property
    def parts(self) -> Mapping[str, StockedPart]: ...  # noqa: D102
    @property
    def digest(self) -> str: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Device:
    """A part that can protect a circuit. Ampere rating [mA]; `ratings` hold behind any device, marked or by class.

    ambient_ratings: ambient [°C] and ampere rating there [mA], as the catalogue states them. breaking_capacities,
    conditional_ratings: by the standards of IEC; which of them count in a circuit is for `breaking`.
    """

    part: str
    kind: Kind
    poles: int | None = None
    amperes: MilliAmperes | None = None
    voltage: Voltage | None = None
    ratings: tuple[InterruptingRating, ...] = ()
    assumed: bool = False
    fuse_class: str | None = None
    power: Power | None = None
    line_to_line: bool = False
    standards: tuple[str, ...] = ()
    accessories: tuple[str, ...] = ()
    accessory_limit: int | None = None
    mounting: str | None = None
    trip_curve: str | None = None
    description: str | None = None
    price: Decimal | None = None
    stock: int | None = None
    time_delay: bool | None = None
    ambient_ratings: tuple[tuple[Decimal, MilliAmperes], ...] = ()
    utilization_category: str | None = None
    breaking_capacities: tuple[BreakingCapacity, ...] = ()
    conditional_ratings: tuple[ConditionalRating, ...] = ()

    @property
    def is_fuse(self) -> bool:
        """Whether it is a fuse, of which a circuit takes one for each ungrounded conductor."""
        return self.kind.name == "fuse"

    @property
    def type(self) -> str:
        """Return the column of Table 430.52 that the device is held to; a fuse that does not say, to the lower."""
        if self.kind.controller:
            return SELF_PROTECTED
        return self.stated_delay or self._delay_by_class if self.is_fuse else BREAKER

    @property
    def stated_delay(self) -> str | None:
        """Return the column that a fuse states, if it does; class CC has one, whatever it states."""
        if self.fuse_class == "CC":
            return None
        if self.time_delay is not None:
            return TIME_DELAY_FUSE if self.time_delay else NON_TIME_DELAY_FUSE
        return FUSE_CURVES.get((self.trip_curve or "").casefold().replace("-", " "))

    @property
    def _delay_by_class(self) -> str:
        row = tables().fuse_types.get(self.fuse_class or "")
        return row.unstated if row else TIME_DELAY_FUSE

    def amperes_at(self, ambient: Decimal) -> MilliAmperes | None:
        """Return the ampere rating at an ambient: that of the next ambient stated, and never above the marked one.

        None where the ratings stated, of which there are some, end below the ambient.
        """
        stated = [(degrees, rating) for degrees, rating in self.ambient_ratings if degrees >= ambient]
        if not stated:
            return None
        _, rating = min(stated)
        return rating if self.amperes is None else min(rating, self.amperes)

    def quantity(self, poles: int) -> int:
        """Return how many of the part a circuit of so many ungrounded conductors takes."""
        return poles if self.is_fuse and self.poles in (None, 1) else 1

    def interrupts(self, feed: Feed) -> InterruptingRating | None:
        """Return the highest rating that serves a circuit (method R6), if any does."""
        holding = (rating for rating in self.ratings if serves(rating.voltage, rating.supply, feed))
        return max(holding, key=lambda rating: rating.current, default=None)


@dataclass(frozen=True, slots=True)
class Devices:
    """The devices of a catalogue, in the order of their numbers, and the digest of the whole catalogue."""

    devices: tuple[Device, ...]
    digest: str


def devices(stock: Stock) -> Devices:
    """Return the parts of a catalogue that can protect a circuit."""
    parts = (stock.parts[number] for number in sorted(stock.parts))
    return Devices(tuple(device(part) for part in parts if protects(part)), stock.digest)


def may_protect(kind: Kind) -> bool:
    """Return whether parts of a kind may be devices."""
    return kind.overcurrent or kind.supplementary or kind.controller


def protects(part: StockedPart) -> bool:
    """Return whether a part is a device: of the controllers, those that are their own protection."""
    kind = part.kind
    return kind.overcurrent or kind.supplementary or (kind.controller and bool(part.fields.get("self_protected")))


def device(part: StockedPart) -> Device:
    """Return a part as a device."""
    fields = part.fields
    marked = _marked(fields)
    same = (
        *("poles", "fuse_class", "line_to_line", "standards", "accessories", "accessory_limit", "mounting"),
        *("utilization_category", "breaking_capacities", "conditional_ratings"),
    )
    return Device(
        part=part.part,
        kind=part.kind,
        amperes=fields.get("ampere_rating"),
        voltage=fields.get("voltage_rating"),
        ratings=marked or tuple(_assumed(part)),
        assumed=not marked,
        power=fields.get("horsepower"),
        trip_curve=fields.get("trip_curve"),
        description=part.description,
        price=part.price,
        stock=part.stock,
        time_delay=part.time_delay,
        ambient_ratings=part.ambient_ratings,
        **{name: fields[name] for name in same if name in fields},
    )


def _marked(fields: Mapping[str, Any]) -> tuple[InterruptingRating, ...]:
    """Return the ratings that hold behind any device; those of a tested combination need that combination."""
    alone = (rating for rating in fields.get("short_circuit_ratings", ()) if rating.protected_by is None)
    others = tuple(InterruptingRating(rating.current, rating.voltage, rating.supply) for rating in alone)
    return (*fields.get("interrupting_ratings", ()), *others)


def _assumed(part: StockedPart) -> Iterable[InterruptingRating]:
    """Yield what an unmarked device is worth, AC only: by fuse class, or by Table SB4.1 at its own voltage (R8)."""
    standard = standard_tables()
    voltage: Voltage | None = part.fields.get("voltage_rating")
    row = standard.fuse_classes.get(part.fields.get("fuse_class", ""))
    if part.kind.name == "fuse" and row is not None and row.default_interrupting is not None:
        limit = Voltage(row.up_to or 600 * VOLT)
        lower = limit if voltage is None or voltage.line > limit.line else voltage
        yield InterruptingRating(row.default_interrupting, lower)
    elif voltage is not None and part.kind.name in ("circuit_breaker", "supplementary_protector"):
        assumed = standard.assumed[standard.scope[part.kind.name].assumed_row or ""][0]
        yield InterruptingRating(assumed.current, voltage)


def reaches(rating: Voltage, supply: SupplyType, feed: Feed) -> bool:
    """Return whether a rating is of the circuit's kind of current and not below its voltage, the system apart."""
    return (feed.system is System.DC) == (supply is SupplyType.DC) and rating.line >= feed.line


def ratings_text(ratings: tuple[InterruptingRating, ...]) -> str:
    """Return ratings in words, such as '65 kA at 240 V, 35 kA at 480Y/277 V'."""
    dc = {SupplyType.DC: " DC"}
    return ", ".join(f"{current_text(r.current)} at {r.voltage.text}{dc.get(r.supply, '')}" for r in ratings)
