"""What withholds a rating: parts without one, direct current, voltages, poles, protection (method B4, W4, X)."""

from collections.abc import Iterator

from sccr.iec61439.assessment import Assessment
from sccr.iec61439.value import Remark
from sccr.iec61439.words import clause
from sccr.panel.component import Component
from sccr.panel.component import SupplyType
from sccr.panel.misapplied import lacking_conductors
from sccr.panel.misapplied import unprotected_branches
from sccr.panel.serving import serves
from sccr.panel.serving import system_text
from sccr.panel.voltage import DC
from sccr.units import UNLIMITED
from sccr.units import ampere_rating_text

NOTHING, VOLTAGE, PROTECTION = "X1", "X3", "X4"


def application_errors(found: Assessment) -> Iterator[Remark]:
    """Yield every error that withholds the rating, in the order of the diagram."""
    case = found.case
    for name, component in case.one_line.in_order():
        value = found.values.get(name)
        if value is not None:
            if value.missing:
                yield Remark("error", value.code, name, clause(case.tables, value.rule), value.because)
            yield from _voltage(found, component)
            yield from _above_holder(found, component)
        if component.phases == 3 or component.transformer is not None:
            yield from _conductors(found, component)
    yield from _unprotected(found)
    yield from _upstream(found)
    if found.headline.current >= UNLIMITED:
        message = "nothing that counts stands at the voltage of a supply, so that there is nothing to rate"
        yield Remark("error", "nothing-to-rate", None, clause(case.tables, NOTHING), message)


def _voltage(found: Assessment, component: Component) -> Iterator[Remark]:
    """A part's own rated operational voltage serves its circuit."""
    case, voltage = found.case, component.voltage
    if voltage is None or component.kind.load:
        return
    for feed in case.feeds_of(component.id):
        if feed.system is not DC and not serves(voltage, SupplyType.AC, feed):
            message = f"voltage rating {voltage.text} does not serve {system_text(feed)}: choose one that does"
            yield Remark("error", "voltage-above-rating", component.id, clause(case.tables, VOLTAGE), message)
            return


def _above_holder(found: Assessment, fuse: Component) -> Iterator[Remark]:
    for holder in found.case.one_line.holders(fuse.id) if fuse.kind.name == "fuse" else ():
        if holder.amperes is not None and fuse.amperes is not None and fuse.amperes > holder.amperes:
            message = f"{ampere_rating_text(fuse.amperes)} in {holder.id} of {ampere_rating_text(holder.amperes)}"
            yield Remark("error", "fuse-above-holder", fuse.id, clause(found.case.tables, VOLTAGE), message)


def _conductors(found: Assessment, component: Component) -> Iterator[Remark]:
    """Three-phase loads and transformers need three line conductors."""
    feed = lacking_conductors(component, found.case.feeds.incoming[component.id])
    if feed is not None:
        message = f"three-phase, but fed with {feed.conductors} line conductor(s) of {system_text(feed)}"
        text = f"{message}: poles ahead of it are missing"
        yield Remark("error", "too-few-poles", component.id, clause(found.case.tables, PROTECTION), text)


def _unprotected(found: Assessment) -> Iterator[Remark]:
    """A branch needs an overcurrent protective device; a supplementary protector is none."""
    cited = clause(found.case.tables, PROTECTION)
    for branch in unprotected_branches(found.case.one_line):
        if branch.supplementary is not None:
            message = f"a supplementary protector protects no branch, and nothing else protects {branch.end}"
            yield Remark("error", "supplementary-protector-as-branch", branch.supplementary, cited, message)
        else:
            remedy = "feed it from a circuit breaker or fuse, or state the supply's upstream_protection"
            yield Remark("error", "unprotected-branch", branch.end, cited, f"no overcurrent device ahead: {remedy}")


def _upstream(found: Assessment) -> Iterator[Remark]:
    """What a load rests on outside the assembly must be able to break."""
    one_line = found.case.one_line
    ends = [name for name in one_line.ends() if name not in one_line.protective] if found.case.upstream else []
    for supply in found.case.panel.supplies:
        device = supply.upstream_protection
        if device is None or not any(device.id in one_line.protection[name] for name in ends):
            continue
        value = found.breaking[device.id]
        if value.missing:
            message = f"upstream_protection is all that protects a branch: {value.because}"
            cited = clause(found.case.tables, value.rule)
            yield Remark("error", "upstream-not-relied-on", supply.id, cited, message)
