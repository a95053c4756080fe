"""What the rules look at: the diagram with its feeds, and what does not change while limits are lifted."""

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace
from functools import lru_cache

from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.at_supply import at_supply
from sccr.panel.component import DIRECT_CURRENT
from sccr.panel.component import Component
from sccr.panel.component import Position
from sccr.panel.component import SupplyType
from sccr.panel.feeds import Feed
from sccr.panel.feeds import Feeds
from sccr.panel.feeds import feeds
from sccr.panel.feeds import supply_feed
from sccr.panel.one_line import OneLine
from sccr.panel.panel import Panel
from sccr.panel.voltage import DC
from sccr.panel.voltage import SINGLE_PHASE_THREE_WIRE
from sccr.panel.voltage import SOLIDLY_GROUNDED_WYE
from sccr.panel.voltage import STRAIGHT
from sccr.panel.voltage import WYE
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.ul508a.tables import Tables
from sccr.ul508a.tables import tables
from sccr.units import MilliVolts
from sccr.units import volts_text


@dataclass(frozen=True, slots=True)
class Subject:
    """A panel made ready for the rules.

    zones: the components that stand at the voltage of a supply or winding; origins: the supplies or windings at whose
    voltage a component, or the upstream protection of a supply, stands; transformers: those with a nameplate, the line
    side first; available: the current at each supply.
    """

    panel: Panel
    one_line: OneLine
    feeds: Feeds
    tables: Tables
    upstream: dict[str, tuple[Feed, ...]]
    zones: dict[str, tuple[str, ...]]
    origins: dict[str, frozenset[str]]
    transformers: tuple[Component, ...]
    available: dict[str, AtSupply]

    def feeds_of(self, device: str) -> tuple[Feed, ...]:
        """Return what a component, or the upstream protection of a supply, stands in."""
        own = self.feeds.own.get(device)
        return own if own is not None else self.upstream[device]

    def with_parts(self, parts: Mapping[str, Component]) -> "Subject":
        """Return the same panel with other parts in some places (of the same kind and poles)."""
        one_line = self.one_line.with_parts(parts)
        transformers = tuple([one_line.components[transformer.id] for transformer in self.transformers])
        return replace(self, one_line=one_line, transformers=transformers)

    def same_zone(self, name: str, device: str) -> bool:
        """Return whether a component stands at the voltage of a device: no transformer between them."""
        return not self.origins[name].isdisjoint(self.origins[device])


def subject(panel: Panel) -> Subject:
    """Return a panel with its diagram walked once."""
    one_line = OneLine(panel)
    upstream: dict[str, tuple[Feed, ...]] = {
        supply.upstream_protection.id: (supply_feed(supply),)
        for supply in panel.supplies
        if supply.upstream_protection is not None
    }
    fed = feeds(one_line)
    zones, origins = _zones(one_line, fed)
    for device, feeds_ahead in upstream.items():
        origins[device] = frozenset([feed.origin for feed in feeds_ahead])
    return Subject(
        panel=panel,
        one_line=one_line,
        feeds=fed,
        tables=tables(),
        upstream=upstream,
        zones=zones,
        origins=origins,
        transformers=tuple([c for _, c in one_line.in_order() if c.transformer is not None]),
        available={supply.id: at_supply(supply) for supply in panel.supplies},
    )


def _zones(one_line: OneLine, fed: Feeds) -> tuple[dict[str, tuple[str, ...]], dict[str, frozenset[str]]]:
    """Return what stands at the voltage of each supply and winding, and where each component stands."""
    zones: dict[str, list[str]] = {}
    origins: dict[str, frozenset[str]] = {}
    last: tuple[Feed, ...] | None = None
    for name in one_line.order:
        incoming = fed.incoming[name]
        if incoming is not last:  # a chain shares its feeds
            last, here = incoming, frozenset([feed.origin for feed in incoming])
            lists = [zones.setdefault(origin, []) for origin in dict.fromkeys([feed.origin for feed in incoming])]
        origins[name] = here
        for names in lists:
            names.append(name)
    return {origin: tuple(names) for origin, names in zones.items()}, origins


def serves(voltage: Voltage, supply: SupplyType, feed: Feed) -> bool:
    """Return whether a rating at a voltage may be used in a circuit (method R6).

    A slash rating serves only the grounded system that it names, within both of its voltages.
    """
    return serves_all(voltage, supply, (feed,))


def serves_all(voltage: Voltage, supply: SupplyType, fed: tuple[Feed, ...]) -> bool:
    """Return whether a rating may be used on every path that feeds a component."""
    for feed in fed:
        if (feed.system is DC) != (supply is DIRECT_CURRENT):
            return False
        if voltage.form is STRAIGHT:
            if voltage.line < feed.line:
                return False
        elif not _slash_serves(voltage, feed):
            return False
    return True


def _slash_serves(voltage: Voltage, feed: Feed) -> bool:
    wanted = SOLIDLY_GROUNDED_WYE if voltage.form is WYE else SINGLE_PHASE_THREE_WIRE
    if feed.system is not wanted or feed.to_ground is None or voltage.ground is None:
        return False
    return voltage.line >= feed.system_line and voltage.ground >= feed.to_ground


def system_text(feed: Feed) -> str:
    """Return a circuit in words, such as '480 V, solidly grounded wye'."""
    return _circuit_text(feed.line, feed.system, feed.line_to_neutral)


@lru_cache(maxsize=1024)
def _circuit_text(line: MilliVolts, system: System, line_to_neutral: bool) -> str:
    kind = " line-to-neutral" if line_to_neutral else ""
    return f"{volts_text(line)} V{kind}, {str(system).replace('_', ' ')}"


def is_wye_point(component: Component) -> bool:
    """Return whether this is the wye-point contactor of a wye-delta starter (method, section 2)."""
    return component.position is Position.WYE_POINT and component.kind.name == "contactor"
