"""The cautions that go with every rating, wherever it is read."""

from typing import Final

from sccr.report.wording import wording
from sccr.result import Rating

CAUTIONS: Final = (
    "This is a design aid. The marking on the panel is the manufacturer's responsibility.",
    "Verify against the edition of the standard in force and the instructions of each device.",
    "Local codes, the authority having jurisdiction and licensed practice decide.",
)


def cautions(rating: Rating) -> tuple[str, ...]:
    """Return the cautions that go with a rating: those of every one, then those of its standard."""
    return (*CAUTIONS, *wording(rating).all_of("caution"))
