"""The checks that a device must pass, in their fixed order: a near miss is told by the first that it fails."""

from collections.abc import Callable
from collections.abc import Iterator
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from sccr.selection import needs
from sccr.selection import wishes
from sccr.selection.duty import duty
from sccr.selection.verdict import Case
from sccr.selection.verdict import Verdict

Check = Callable[[Case], Verdict]

#: What makes a part another device comes first, what only a different size or option cures last.
CHECKS: Final[Mapping[str, Check]] = MappingProxyType(
    {
        "kind": wishes.kind,
        "duty": duty,
        "poles": needs.poles,
        "voltage": needs.voltage,
        "system": needs.system,
        "minimum_amperes": needs.least_amperes,
        "maximum_amperes": needs.most_amperes,
        "horsepower": needs.power,
        "interrupting_rating": needs.interrupting,
        "inrush": needs.inrush,
        "trip_curve": wishes.trip_curve,
        "standards": wishes.standards,
        "mounting": wishes.mounting,
        "accessories": wishes.accessories,
    }
)


def verdicts(case: Case) -> Iterator[tuple[str, Verdict]]:
    """Yield the verdicts in order, up to the first against the device: what follows builds on what it passed."""
    for name, check in CHECKS.items():
        verdict = check(case)
        yield name, verdict
        if not verdict.passed:
            return
