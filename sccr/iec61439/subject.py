"""What the rules look at: the diagram with its feeds, the tables, and the current at each supply by IEC 60909-0."""

from dataclasses import dataclass
from dataclasses import replace

from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.at_supply import at_supply
from sccr.fault_current.site import Method
from sccr.iec61439.tables import Tables
from sccr.iec61439.tables import tables
from sccr.panel.panel import Panel
from sccr.panel.panel import Supply
from sccr.panel.wiring import Wiring
from sccr.panel.wiring import wiring


@dataclass(frozen=True, slots=True)
class Subject(Wiring):
    """A panel made ready for the rules, with the tables and the current available at each supply."""

    tables: Tables
    available: dict[str, AtSupply]


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
        available={supply.id: at_supply(by_iec_60909(supply)) for supply in panel.supplies},
    )


def by_iec_60909(supply: Supply) -> Supply:
    """Return a supply whose source is calculated by IEC 60909-0, whatever method the document names (P4)."""
    if supply.source is None or supply.source.method is Method.IEC_60909:
        return supply
    return replace(supply, source=replace(supply.source, method=Method.IEC_60909))
