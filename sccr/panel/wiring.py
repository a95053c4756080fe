"""The diagram of a panel walked once: what each component is fed with, and what stands at one voltage with it."""

from dataclasses import dataclass

from sccr.panel.component import Component
from sccr.panel.feeds import Feed
from sccr.panel.feeds import Feeds
from sccr.panel.feeds import feeds
from sccr.panel.feeds import supply_feed
from sccr.panel.one_line import OneLine
from sccr.panel.panel import Panel


@dataclass(frozen=True, slots=True)
class Wiring:
    """A panel made ready for the rules of any standard.

    zones: the components that stand at the voltage of a supply or winding; origins: the supplies or windings at whose
    voltage a component, or the upstream protection of a supply, stands; transformers: those with a nameplate, the line
    side first.
    """

    panel: Panel
    one_line: OneLine
    feeds: Feeds
    upstream: dict[str, tuple[Feed, ...]]
    zones: dict[str, tuple[str, ...]]
    origins: dict[str, frozenset[str]]
    transformers: tuple[Component, ...]

    def feeds_of(self, device: str) -> tuple[Feed, ...]:
        """Return what a component, or the upstream protection of a supply, stands in."""
        own = self.feeds.own.get(device)
        return own if own is not None else self.upstream[device]

    def same_zone(self, name: str, device: str) -> bool:
        """Return whether a component stands at the voltage of a device: no transformer between them."""
        return not self.origins[name].isdisjoint(self.origins[device])


def wiring(panel: Panel) -> Wiring:
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
    return Wiring(
        panel=panel,
        one_line=one_line,
        feeds=fed,
        upstream=upstream,
        zones=zones,
        origins=origins,
        transformers=tuple([c for _, c in one_line.in_order() if c.transformer is not None]),
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
