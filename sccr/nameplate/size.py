"""The size of a plate, and the height of the letters on it."""

from dataclasses import dataclass
from typing import Final

from sccr.nameplate.errors import InvalidSize

#: Height of a capital letter below which nothing on a plate is made [mm] (common practice, no source).
LEAST_CAPITALS: Final = 2.0
#: The shortest and the longest side that is made [mm].
SHORTEST: Final = 15.0
LONGEST: Final = 420.0


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height of a plate [mm]."""

    width_mm: float = 100.0
    height_mm: float = 60.0

    def __post_init__(self) -> None:
        for side in (self.width_mm, self.height_mm):
            if not SHORTEST <= side <= LONGEST:  # which a nan is not, either
                raise InvalidSize(f"{side:g} mm is no side of a nameplate: {SHORTEST:g} to {LONGEST:g} mm are made")

    @property
    def text(self) -> str:
        """Return the size for people.

        >>> Size(100, 60).text
        '100 × 60 mm'
        """
        return f"{self.width_mm:g} × {self.height_mm:g} mm"

    @property
    def largest(self) -> "Size":
        """Return the largest size of the same proportions."""
        factor = LONGEST / max(self.width_mm, self.height_mm)
        return Size(max(SHORTEST, self.width_mm * factor), max(SHORTEST, self.height_mm * factor))


#: The size of a plate where none is asked for.
USUAL: Final = Size()
