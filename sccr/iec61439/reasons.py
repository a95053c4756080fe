"""Why a component holds the rating where it is, in one sentence for `limited_by`."""

from sccr.iec61439.assessment import Assessment
from sccr.iec61439.rules.conditions import upstream_text
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import Limit
from sccr.iec61439.words import clause
from sccr.result import LimitedBy


def limited_by(found: Assessment, limit: Limit) -> LimitedBy:
    """Return a limit with its reason."""
    case, name = found.case, limit.component
    text = found.value(name).because
    if name in case.upstream:
        text = f"upstream protection {upstream_text(case.one_line.device(name))}: {text}"
    if limit.behind is not None:
        held = [s for s in found.transformers[limit.behind].secondaries if s.carried == limit.current]
        text += "".join(f"; behind {s.winding} ({s.rule}): {s.because}" for s in held)
    return LimitedBy(name, clause(case.tables, limit.rule), text)
