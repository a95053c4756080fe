"""What the rules look at: the diagram with its feeds, and what does not change while limits are lifted."""

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace

from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.at_supply import at_supply
from sccr.panel.component import Component
from sccr.panel.component import Position
from sccr.panel.component import SupplyType
from sccr.panel.feeds import Feed
from sccr.panel.feeds import Feeds
from sccr.panel.feeds import feeds
from sccr.panel.feeds import supply_feed
from sccr.panel.one_line import OneLine
from sccr.panel.panel import Panel
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.ul508a.tables import Tables
from sccr.ul508a.tables import tables


@dataclass(frozen=True, slots=True)
class Subject:
    """A panel made ready for the rules.

    zones: the components that stand at the voltage of a supply or winding; available: the current at each supply.
    """

    panel: Panel
    one_line: OneLine
    feeds: Feeds
    tables: Tables
    upstream: dict[str, tuple[Feed, ...]]
    zones: dict[str, tuple[str, ...]]
    available: dict[str, AtSupply]

    def feeds_of(self, device: str) -> tuple[Feed, ...]:
        """Return what a component, or the upstream protection of a supply, stands in."""
        own = self.feeds.own.get(device)
        return own if own is not None else self.upstream[device]

    def with_parts(self, parts: Mapping[str, Component]) -> "Subject":
        """Return the same panel with other parts in some places (of the same kind and poles)."""
        return replace(self, one_line=self.one_line.with_parts(parts))

    def same_zone(self, name: str, device: str) -> bool:
        """Return whether a component stands at the voltage of a device: no transformer between them."""
        zones = {feed.origin for feed in self.feeds_of(device)}
        return any(feed.origin in zones for feed in self.feeds.incoming[name])


def subject(panel: Panel) -> Subject:
    """Return a panel with its diagram walked once."""
    one_line = OneLine(panel)
    upstream: dict[str, tuple[Feed, ...]] = {
        supply.upstream_protection.id: (supply_feed(supply),)
        for supply in panel.supplies
        if supply.upstream_protection is not None
    }
    fed = feeds(one_line)
    zones: dict[str, list[str]] = {}
    for name in one_line.order:
        for origin in dict.fromkeys(feed.origin for feed in fed.incoming[name]):
            zones.setdefault(origin, []).append(name)
    return Subject(
        panel=panel,
        one_line=one_line,
        feeds=fed,
        tables=tables(),
        upstream=upstream,
        zones={origin: tuple(names) for origin, names in zones.items()},
        available={supply.id: at_supply(supply) for supply in panel.supplies},
    )


def serves(voltage: Voltage, supply: SupplyType, feed: Feed) -> bool:
    """Return whether a rating at a voltage may be used in a circuit (method R6).

    A slash rating serves only the grounded system that it names, within both of its voltages.
    """
    if (feed.system is System.DC) != (supply is SupplyType.DC):
        return False
    if voltage.form is Form.STRAIGHT:
        return voltage.line >= feed.line
    wanted = System.SOLIDLY_GROUNDED_WYE if voltage.form is Form.WYE else System.SINGLE_PHASE_THREE_WIRE
    if feed.system is not wanted or feed.to_ground is None or voltage.ground is None:
        return False
    return voltage.line >= feed.system_line and voltage.ground >= feed.to_ground


def serves_all(voltage: Voltage, supply: SupplyType, fed: tuple[Feed, ...]) -> bool:
    """Return whether a rating may be used on every path that feeds a component."""
    return all(serves(voltage, supply, feed) for feed in fed)


def system_text(feed: Feed) -> str:
    """Return a circuit in words, such as '480 V, solidly grounded wye'."""
    volts = Voltage(feed.line).text
    kind = " line-to-neutral" if feed.line_to_neutral else ""
    return f"{volts}{kind}, {str(feed.system).replace('_', ' ')}"


def is_wye_point(component: Component) -> bool:
    """Return whether this is the wye-point contactor of a wye-delta starter (method, section 2)."""
    return component.position is Position.WYE_POINT and component.kind.name == "contactor"
