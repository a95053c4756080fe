"""What the rating of a changed panel must be free of before its number counts."""

from sccr.result import Finding
from sccr.result import Rating
from sccr.units import MilliAmperes

EXCEEDED = "interrupting-exceeded-by-x-over-r"


def wrong_with(rating: Rating, target: MilliAmperes) -> list[Finding]:
    """Return the findings that keep a panel from a target [mA] whatever its number.

    They are errors, and devices that X/R at the panel asks more of than they interrupt: at a supply whose available
    current is within the target (NEC 110.9).
    """
    if rating.rating is None:
        errors = [finding for finding in rating.findings if finding.severity == "error"]
        return errors or [finding for finding in rating.findings if finding.code == "rating-not-required"]
    devices = {device for at in rating.adequacy.supplies if at.current <= target for device in at.exceeded}
    return [f for f in rating.findings if f.code == EXCEEDED and f.component in devices] if devices else []
