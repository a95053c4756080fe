"""What the rules look at: the diagram with its feeds, and what does not change while limits are lifted."""

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import replace

from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.at_supply import at_supply
from sccr.panel.component import Component
from sccr.panel.component import Position
from sccr.panel.panel import Panel
from sccr.panel.serving import serves
from sccr.panel.serving import serves_all
from sccr.panel.serving import system_text
from sccr.panel.wiring import Wiring
from sccr.panel.wiring import wiring
from sccr.ul508a.tables import Tables
from sccr.ul508a.tables import tables

__all__ = ["Subject", "is_wye_point", "serves", "serves_all", "subject", "system_text"]


@dataclass(frozen=True, slots=True)
class Subject(Wiring):
    """A panel made ready for the rules, with the tables and the current available at each supply."""

    tables: Tables
    available: dict[str, AtSupply]

    def with_parts(self, parts: Mapping[str, Component]) -> "Subject":
        """Return the same panel with other parts in some places (of the same kind and poles)."""
        one_line = self.one_line.with_parts(parts)
        transformers = tuple([one_line.components[transformer.id] for transformer in self.transformers])
        return replace(self, one_line=one_line, transformers=transformers)


def subject(panel: Panel) -> Subject:
    """Return a panel with its diagram walked once."""
    at = wiring(panel)
    return Subject(
        panel=panel,
        one_line=at.one_line,
        feeds=at.feeds,
        upstream=at.upstream,
        zones=at.zones,
        origins=at.origins,
        transformers=at.transformers,
        tables=tables(),
        available={supply.id: at_supply(supply) for supply in panel.supplies},
    )


def is_wye_point(component: Component) -> bool:
    """Return whether this is the wye-point contactor of a wye-delta starter (method, section 2)."""
    return component.position is Position.WYE_POINT and component.kind.name == "contactor"
