"""IEC 61439-1, 10.11.1 and 10.11.2 c): which components are verified, which are not and why (method X1, E3)."""

from dataclasses import dataclass
from typing import Final

from sccr.iec61439.subject import Subject
from sccr.iec61439.tables import Limits
from sccr.panel.component import Component
from sccr.panel.component import Position
from sccr.panel.component import Transformer
from sccr.panel.feeds import winding_name
from sccr.panel.one_line import OneLine

RULE = "X1"
RULE_OF_AUXILIARIES = "E3"
CONDUCTOR: Final = "conductor"


@dataclass(frozen=True, slots=True)
class Scope:
    """Which components count and which do not, each with its rule and reason.

    auxiliary: the small transformers behind which only the protective devices count.
    """

    counted: frozenset[str]
    exempt: dict[str, tuple[str, str]]
    auxiliary: dict[str, str]


def scope(case: Subject) -> Scope:
    """Return what counts for the rating: control circuits as any other, except behind a small transformer (E3)."""
    auxiliary, windings = _auxiliaries(case)
    exempt: dict[str, tuple[str, str]] = {}
    for name, component in case.one_line.in_order():
        reason = _exemption(case, component)
        if reason:
            exempt[name] = (RULE, reason)
        elif windings and not component.protective and case.origins[name] <= windings.keys():
            ahead = " and ".join(sorted({windings[origin] for origin in case.origins[name]}))
            exempt[name] = (RULE_OF_AUXILIARIES, f"auxiliary circuit behind {ahead}: needs no verification")
    counted = frozenset([name for name in case.one_line.order if name not in exempt])
    return Scope(counted, exempt, auxiliary)


def _exemption(case: Subject, component: Component) -> str:
    """Return why a component needs no rating wherever it stands, or nothing."""
    role = case.tables.roles[component.kind.name]
    if component.in_field:
        return "stands outside the assembly"
    if component.exempt is not None:
        return f"exempted by the document: {component.exempt.reason}"
    if role.name == "none":
        return f"{component.kind.label}: what it feeds is held to T1 and T2"
    if role.name == "load" and not component.location_stated:
        return f"{component.kind.label}: a load, which is not verified with the assembly"
    if component.position is Position.DRIVE_OUTPUT:
        return "on the output of a drive, which limits the current"
    if component.position is Position.BEHIND_CURRENT_TRANSFORMER or _metered(case.one_line, component):
        return "meter behind a current transformer or shunt"
    return ""


def _metered(one_line: OneLine, component: Component) -> bool:
    if not component.kind.meter:
        return False
    sources = [one_line.components.get(source.id) for source in one_line.line_side[component.id]]
    return all(source is not None and source.kind.instrument_source for source in sources)


def _auxiliaries(case: Subject) -> tuple[dict[str, str], dict[str, str]]:
    """Return the small transformers (E3), each with its reason, and by every winding behind one its transformer."""
    found: dict[str, str] = {}
    windings: dict[str, str] = {}
    for component in case.transformers:
        nameplate, name = component.transformer, component.id
        assert nameplate is not None  # case.transformers are those with a nameplate
        reason = small_transformer(nameplate, case.tables.limits)
        behind = case.origins[name] <= windings.keys()
        if reason:
            found[name] = reason
        if reason or behind:
            ahead = name if reason else windings[min(case.origins[name])]
            for number in range(1, len(nameplate.secondaries) + 1):
                windings[winding_name(name, number)] = ahead
    return found, windings


def small_transformer(nameplate: Transformer, limits: Limits) -> str:
    """Return why the circuits behind a transformer need no verification (E3), or nothing where they do.

    What is not stated proves nothing; an autotransformer is not taken.
    """
    size, impedance = nameplate.volt_amperes, nameplate.impedance_percent
    if size is None or impedance is None or nameplate.isolated is False:
        return ""
    low = any(voltage.line < limits.auxiliary_voltage for voltage in nameplate.secondaries)
    if impedance < limits.auxiliary_impedance or size > (limits.auxiliary_va_low if low else limits.auxiliary_va):
        return ""
    volts = ", ".join(voltage.text for voltage in nameplate.secondaries)
    return f"{size / 1_000:f} kVA to {volts} with {impedance:f} %: its circuits are auxiliary circuits"
