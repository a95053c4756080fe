"""Why a component holds the rating where it is, in one sentence for `limited_by`."""

from sccr.result import LimitedBy
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.rules.sb4_3_branch_credits import BranchCredit
from sccr.ul508a.rules.sb4_3_branch_credits import is_feeder
from sccr.ul508a.rules.sb4_3_let_through import CreditStep
from sccr.ul508a.rules.sb4_4_panel_rating import Limit
from sccr.ul508a.rules.sb5_conditions import upstream_text
from sccr.units import current_text


def limited_by(found: Assessment, limit: Limit) -> LimitedBy:
    """Return a limit with its reason."""
    return LimitedBy(limit.component, limit.clause, reason(found, limit))


def reason(found: Assessment, limit: Limit) -> str:
    """Return why a component holds its circuit at this current."""
    name = limit.component
    if name not in found.case.one_line.components:
        device = found.case.one_line.device(name)
        return f"upstream protection {upstream_text(device)}: {found.values[name].because}"
    value = found.values[name]
    sentences = [value.because, *_credit(found, name), *_carried(found, name)]
    return "; ".join(sentences)


def _credit(found: Assessment, name: str) -> list[str]:
    component = found.case.one_line.components[name]
    step = found.after[name].step
    sentences = [] if step is None else [credit_text(step)]
    attempts = found.attempts(name)
    feeder = is_feeder(found.case, component) and name not in found.case.one_line.protective
    if feeder and step is None and any(device is not None for device in found.case.one_line.protection[name]):
        sentences.append("a feeder component is not credited from SB4.3")
    return sentences + [missed_text(attempt) for attempt in attempts if attempt.missed is not None]


def _carried(found: Assessment, name: str) -> list[str]:
    behind = [r for r in found.transformers.values() if name in r.held_by and r.rule]
    return [f"behind {result.transformer} ({result.rule}): {result.because}" for result in behind]


def credit_text(step: CreditStep) -> str:
    """Return a credit in words."""
    devices = " and ".join(step.given_by)
    text = f"credited with {current_text(step.level)}: at {current_text(step.available)}"
    return f"{text} {devices} lets through no more than {current_text(step.peak)} peak ({step.clause})"


def missed_text(attempt: BranchCredit) -> str:
    """Return why a branch is credited no further."""
    step = attempt.missed
    assert step is not None
    devices = " and ".join(step.given_by)
    parts = ", ".join(attempt.weakest_parts)
    what = "no credit" if attempt.taken is None else "no more credit"
    return (
        f"{what}: at {current_text(step.available)} {devices} lets through {current_text(step.peak)} peak, "
        f"above the {current_text(attempt.weakest)} of {parts} ({step.clause})"
    )
