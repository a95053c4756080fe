"""The current available at each supply: how it was found, and whether devices were tested as hard as it is there.

No rating changes by it. A device whose interrupting rating does not cover the current multiplied for X/R makes its
supply inadequate (UL 489 test circuits; factors as in IEEE C37.13).
"""

from collections.abc import Iterator
from decimal import Decimal

from sccr.adequacy import AvailableBasis
from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.power_factor import MOLDED_CASE
from sccr.fault_current.result import Finding
from sccr.fault_current.tables import tables
from sccr.panel.component import Component
from sccr.panel.panel import Supply
from sccr.panel.voltage import System
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.rules.sb4_3_branch_credits import held_to_interrupt
from sccr.ul508a.value import Remark
from sccr.units import UNLIMITED
from sccr.units import current_text

_CLAUSE = "SB4.4"
FUSE = "fuse"
#: Said of every kind of breaker at once where there is no panel; here each device is looked at by itself.
_BY_DEVICE = "x-over-r-above-test"


def available_remarks(found: Assessment) -> Iterator[Remark]:
    """Yield what is to be said of the currents that are computed, supply by supply."""
    for supply in found.case.panel.supplies:
        at = found.case.available[supply.id]
        if at.calculation is not None:
            yield from _of_calculation(supply, at)
            yield from _of_devices(found, supply)


def exceeded(found: Assessment, supply: Supply) -> tuple[str, ...]:
    """Return the devices of a supply whose interrupting rating the current exceeds once it is multiplied for X/R."""
    return tuple(device for device, finding in _power_factors(found, supply) if finding.severity == "error")


def _of_calculation(supply: Supply, at: AtSupply) -> Iterator[Remark]:
    calculation = at.calculation
    assert calculation is not None
    if calculation.available is None:
        codes = ", ".join(sorted({each.code for each in calculation.findings if each.severity == "error"}))
        stated = "" if at.stated is None else "; the current that is stated counts"
        message = f"supply {supply.id}: no current can be computed from its source ({codes}){stated}"
        yield Remark("warning", "fault-current-not-established", None, _CLAUSE, message)
    elif at.stated is not None:
        yield _differing(supply, at, calculation.available)
    elif supply.available_fault_current_date is None:
        message = (
            f"supply {supply.id}: state available_fault_current_date, the date of the calculation, which is documented "
            "with the current (NEC 409.22(B), 670.5)"
        )
        yield Remark("note", "fault-current-not-dated", None, _CLAUSE, message)
    there = System(calculation.terminals.system)
    if there is not supply.system and there.three_phase == supply.system.three_phase:
        message = (
            f"supply {supply.id}: its source ends in {_words(there)}, and the supply is {_words(supply.system)}: "
            "currents to ground and neutral are those of the source"
        )
        yield Remark("warning", "source-system-differs", None, _CLAUSE, message)
    for each in calculation.findings:
        if each.severity != "note" and each.code != _BY_DEVICE:
            yield Remark("warning", each.code, None, _CLAUSE, f"source of {supply.id}: {_of_element(each)}")


def _words(system: System) -> str:
    return str(system).replace("_", " ")


def _of_element(finding: Finding) -> str:
    return finding.message if finding.element is None else f"{finding.element}: {finding.message}"


def _differing(supply: Supply, at: AtSupply, computed: int) -> Remark:
    """Return how a stated and a computed current differ: the higher counts."""
    stated = at.stated
    assert stated is not None
    percent = (stated / computed - 1) * 100
    counts = "computed" if at.basis is AvailableBasis.COMPUTED else "stated"
    message = (
        f"supply {supply.id}: {current_text(stated)} is stated and {current_text(computed)} computed from its source, "
        f"{percent:+.1f} %: the {counts} one counts"
    )
    limit = Decimal(tables().defaults["stated_difference"])
    near = abs(stated - computed) * 100 <= limit * computed  # exact: a quotient of floats may pass 2 % by its rounding
    return Remark("note" if near else "warning", "fault-currents-differ", None, _CLAUSE, message)


def _of_devices(found: Assessment, supply: Supply) -> Iterator[Remark]:
    for device, finding in _power_factors(found, supply):
        if finding.severity == "error":
            message = f"{finding.message}, which does not cover it (NEC 110.9)"
            yield Remark("warning", "interrupting-exceeded-by-x-over-r", device, "SB4.2", message)
        else:
            yield Remark("note", finding.code, device, "SB4.2", f"{finding.message}, which covers it")


def _power_factors(found: Assessment, supply: Supply) -> Iterator[tuple[str, Finding]]:
    """Yield each interrupting device at the voltage of a supply that was tested at a lower X/R than there is.

    A motor controller or supplementary protector that is held to an interrupting rating is taken as a molded-case
    breaker of that rating (no source).
    """
    at, upstream = found.case.available[supply.id], supply.upstream_protection
    if at.calculation is None:
        return  # X/R is not known
    for component in _interrupting(found, supply):
        current = found.values[component.id].current
        if not 0 < current < UNLIMITED:
            continue
        device = FUSE if component.kind.name == FUSE else MOLDED_CASE
        name = supply.id if component is upstream else component.id
        finding = at.power_factor_finding(current, device, name)
        if finding is not None:
            yield name, finding


def _interrupting(found: Assessment, supply: Supply) -> Iterator[Component]:
    if supply.upstream_protection is not None:
        yield supply.upstream_protection
    for name in found.case.zones.get(supply.id, ()):
        component = found.case.one_line.components[name]
        if name in found.scope.counted and held_to_interrupt(found.case, component):
            yield component
