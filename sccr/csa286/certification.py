"""Whether parts are certified for Canada: a rule of ours, on the safe side of CEC Rule 2-024 (from memory)."""

from collections.abc import Iterable
from collections.abc import Iterator
from typing import Final

from sccr.csa286.tables import CERTIFICATION
from sccr.csa286.tables import NOMINAL_VOLTAGE
from sccr.csa286.tables import Tables
from sccr.panel.component import Component
from sccr.panel.panel import Panel
from sccr.panel.voltage import DC
from sccr.result import Finding

#: How many components a note names before it says how many more there are.
_NAMED: Final = 20


def for_canada(tables: Tables, standard: str) -> bool:
    """Return whether a standard, as it is stated, is one of Canada: by its beginning, the longest that fits."""
    said = standard.strip().casefold()
    beginnings = [beginning for beginning in tables.certification if said.startswith(beginning)]
    return bool(beginnings) and tables.certification[max(beginnings, key=len)]


def uncertified(tables: Tables, component: Component) -> bool:
    """Return whether a component states standards, and none of Canada."""
    stated = component.standards
    return bool(stated) and not any(for_canada(tables, standard) for standard in stated)


def refused(tables: Tables, panel: Panel, counted: Iterable[str]) -> frozenset[str]:
    """Return the devices of a panel that count, must interrupt, and are certified for another country alone."""
    names = set(counted)
    return frozenset(c.id for c in panel.components if c.id in names and c.protective and uncertified(tables, c))


def why(tables: Tables, component: Component) -> str:
    """Return why a component is not certified for Canada, and the remedy."""
    device = tables.devices.get(component.kind.name)
    example = f", such as {device.csa}," if device is not None else ""
    stated = ", ".join(component.standards)
    return f"not certified for Canada: standards names {stated} only; use a part that names one of Canada{example} too"


def certification_remarks(tables: Tables, panel: Panel, counted: Iterable[str]) -> Iterator[Finding]:
    """Yield an error for each device that is refused, a warning for other parts, a note where nothing is stated."""
    clause, names = tables.clauses[CERTIFICATION].text, set(counted)
    without = refused(tables, panel, names)
    for component in panel.components:
        if not component.kind.load and not component.in_field and uncertified(tables, component):
            severity = "error" if component.id in without else "warning"
            yield Finding(severity, "not-certified-for-canada", component.id, clause, why(tables, component))
    unstated = [c.id for c in panel.components if c.id in names and not c.standards]
    if unstated:
        more = f" and {len(unstated) - _NAMED} more" if len(unstated) > _NAMED else ""
        told = f"no standards stated, so whether these are certified for Canada is open: {', '.join(unstated[:_NAMED])}"
        yield Finding("note", "canadian-certification-unstated", None, clause, told + more)


def nominal_voltage_remarks(tables: Tables, panel: Panel) -> Iterator[Finding]:
    """Yield a note for each supply at a voltage that is not nominal in Canada."""
    clause, nominal = tables.clauses[NOMINAL_VOLTAGE].text, ", ".join(tables.nominal.values())
    for supply in panel.supplies:
        if supply.system is not DC and supply.voltage.line not in tables.nominal:
            told = f"supply {supply.id}: {supply.voltage.text} is not nominal in Canada ({nominal})"
            yield Finding("note", "voltage-not-nominal", None, clause, told)
