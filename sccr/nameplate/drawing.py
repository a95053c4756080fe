"""A plate that is laid out: what stands where, in millimetres from its upper left corner, y downward."""

from dataclasses import dataclass

from sccr.nameplate.code import Modules
from sccr.nameplate.font import Face
from sccr.nameplate.size import Size


@dataclass(frozen=True, slots=True)
class Line:
    """A line of letters: where it begins on its baseline, and the height of its capitals."""

    x: float
    baseline: float
    text: str
    face: Face
    capitals: float

    def moved(self, x: float, y: float) -> "Line":
        """Return the same line elsewhere."""
        return Line(self.x + x, self.baseline + y, self.text, self.face, self.capitals)


@dataclass(frozen=True, slots=True)
class Rule:
    """A horizontal rule: its left end, its middle, its length and its weight."""

    x: float
    y: float
    length: float
    weight: float


@dataclass(frozen=True, slots=True)
class Frame:
    """The line around the plate: its middle stands `inset` within the edge."""

    inset: float
    weight: float


@dataclass(frozen=True, slots=True)
class Symbol:
    """A code: the upper left corner of its modules, the side of a module, its quiet zone [modules] and the modules."""

    x: float
    y: float
    module: float
    quiet: int
    modules: Modules

    def runs(self) -> list[tuple[float, float, float]]:
        """Return the dark modules, those beside each other as one: upper left corner and length."""
        found = []
        for row, across in enumerate(self.modules):
            start = None
            for column, dark in enumerate((*across, False)):
                if dark and start is None:
                    start = column
                elif not dark and start is not None:
                    left, top = self.x + start * self.module, self.y + row * self.module
                    found.append((left, top, (column - start) * self.module))
                    start = None
        return found


@dataclass(frozen=True, slots=True)
class Drawing:
    """A whole plate, black on white."""

    size: Size
    title: str
    frame: Frame
    lines: tuple[Line, ...]
    rules: tuple[Rule, ...]
    symbol: Symbol | None = None
