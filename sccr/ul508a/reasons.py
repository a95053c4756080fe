"""Why a component holds the rating where it is, in one sentence for `limited_by`."""

from functools import lru_cache
from typing import NamedTuple

from sccr.result import LimitedBy
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.rules.sb4_3_1_transformers import TransformerResult
from sccr.ul508a.rules.sb4_3_branch_credits import BranchCredit
from sccr.ul508a.rules.sb4_3_branch_credits import Credited
from sccr.ul508a.rules.sb4_3_branch_credits import is_feeder
from sccr.ul508a.rules.sb4_3_let_through import CreditStep
from sccr.ul508a.rules.sb4_4_panel_rating import Limit
from sccr.ul508a.rules.sb4_4_panel_rating import SupplyRating
from sccr.ul508a.rules.sb5_conditions import upstream_text
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import Value
from sccr.units import MilliAmperes
from sccr.units import current_text


class Hold(NamedTuple):
    """A limit and all that its reason is told from, so that the words are made when somebody reads them.

    credited: None for a device ahead of a supply; attempts: the credits that were tried for its branches; behind: the
    transformers that carry it.
    """

    limit: Limit
    value: Value
    credited: Credited | None
    attempts: tuple[BranchCredit, ...]
    behind: tuple[TransformerResult, ...]


def holds(found: Assessment, rating: SupplyRating) -> tuple[Hold, ...]:
    """Return the limits of a rating with what holds them there."""
    values, after, carrying = found.values, found.after, [r for r in found.transformers.values() if r.rule]
    return tuple(
        [
            Hold(
                limit,
                values[limit.component],
                after.get(limit.component),
                found.attempts(limit.component),
                tuple([result for result in carrying if limit.component in result.held_by]) if carrying else (),
            )
            for limit in rating.limits
        ]
    )


def limited_by(case: Subject, held: Hold) -> LimitedBy:
    """Return a limit with its reason."""
    return LimitedBy(held.limit.component, held.limit.clause, reason(case, held))


def reason(case: Subject, held: Hold) -> str:
    """Return why a component holds its circuit at this current."""
    name = held.limit.component
    if name in case.upstream:
        return f"upstream protection {upstream_text(case.one_line.device(name))}: {held.value.because}"
    text = held.value.because
    step = held.credited.step if held.credited is not None else None
    if step is not None:
        text += f"; {credit_text(step)}"
    elif _uncredited(case, name):
        text += "; a feeder component is not credited from SB4.3"
    for attempt in held.attempts:
        if attempt.missed is not None:
            text += f"; {missed_text(attempt)}"
    for result in held.behind:
        text += f"; behind {result.transformer} ({result.rule}): {result.because}"
    return text


def _uncredited(case: Subject, name: str) -> bool:
    one_line = case.one_line
    if name in one_line.protective or not is_feeder(case, one_line.components[name]):
        return False
    return any(device is not None for device in one_line.protection[name])


@lru_cache(maxsize=1024)
def credit_text(step: CreditStep) -> str:
    """Return a credit in words."""
    devices = " and ".join(step.given_by)
    text = f"credited with {current_text(step.level)}: at {current_text(step.available)}"
    return f"{text} {devices} lets through no more than {current_text(step.peak)} peak ({step.clause})"


def missed_text(attempt: BranchCredit) -> str:
    """Return why a branch is credited no further."""
    assert attempt.missed is not None
    return _missed_text(attempt.missed, attempt.weakest, attempt.weakest_parts, attempt.taken is None)


@lru_cache(maxsize=1024)
def _missed_text(step: CreditStep, weakest: MilliAmperes, weakest_parts: tuple[str, ...], nothing: bool) -> str:
    devices = " and ".join(step.given_by)
    parts = ", ".join(weakest_parts)
    what = "no credit" if nothing else "no more credit"
    return (
        f"{what}: at {current_text(step.available)} {devices} lets through {current_text(step.peak)} peak, "
        f"above the {current_text(weakest)} of {parts} ({step.clause})"
    )
