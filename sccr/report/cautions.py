"""The cautions that go with every rating, wherever it is read."""

from typing import Final

CAUTIONS: Final = (
    "This is a design aid. The marking on the panel is the manufacturer's responsibility.",
    "Verify against the edition of the standard in force and the instructions of each device.",
    "Local codes, the authority having jurisdiction and licensed practice decide.",
)
