"""A plate set in one manner: blocks below each other, rules between sections, the code in the upper right corner."""

from dataclasses import dataclass
from typing import Final

from sccr.nameplate.blocks import Laid
from sccr.nameplate.blocks import Manner
from sccr.nameplate.contents import Section
from sccr.nameplate.drawing import Frame
from sccr.nameplate.drawing import Line
from sccr.nameplate.drawing import Rule
from sccr.nameplate.drawing import Symbol
from sccr.nameplate.font import font
from sccr.nameplate.size import USUAL
from sccr.nameplate.size import Size

#: From the edge of a plate to anything but its frame, inset and weight of the frame, and weight of a rule, on a plate
#: that is no larger than usual [mm].
MARGIN: Final = 2.0
_INSET: Final = 0.9
_FRAME: Final = 0.35
_RULE: Final = 0.2
#: Above and below a rule, on a plate of the usual size; and the least of it [mm].
_GAP: Final = 0.8
_LEAST_GAP: Final = 0.3
#: Room that is left over widens a gap up to this much more, on a plate of the usual size [mm].
_WIDER: Final = 1.6
CODE_GAP: Final = 1.5


@dataclass(frozen=True, slots=True)
class Setting:
    """One way to set a plate: what stands on it, with which code, in which manner."""

    size: Size
    sections: list[Section]
    symbol: Symbol | None
    manner: Manner

    def drawn(self) -> tuple[list[Line], list[Rule]] | None:
        """Return the lines and rules, room that is left over spread between the sections; nothing if it is too much."""
        gap = max(_LEAST_GAP, _GAP * self.manner.scale)
        first = self._laid(gap)
        left = self._bottom - first[2]
        if left < 0 or not self._within(first[0]):
            return None
        wider = min(left / max(1, 2 * len(self.sections) - 2), _WIDER * self.manner.scale)
        second = self._laid(gap + wider)
        if second[2] <= self._bottom + 1e-9 and self._within(second[0]):
            return second[0], second[1]
        return first[0], first[1]

    @property
    def _bottom(self) -> float:
        return self.size.height_mm - margin(self.size)

    def _laid(self, gap: float) -> tuple[list[Line], list[Rule], float]:
        lines: list[Line] = []
        rules: list[Rule] = []
        edge = y = margin(self.size)
        for number, section in enumerate(self.sections):
            if number:
                y += gap
                rules.append(Rule(edge, y, self._width(y), _RULE * _enlarged(self.size)))
                y += gap
            for block in section:
                laid: Laid = block.laid(self._width(y), self.manner)
                lines += [line.moved(edge, y) for line in laid.lines]
                y += laid.height
        return lines, rules, max(y, self._symbol_bottom)

    def _width(self, y: float) -> float:
        """Return the width at a height: beside the code it is less."""
        full = self.size.width_mm - 2 * margin(self.size)
        if self.symbol is None or y >= self._symbol_bottom:
            return full
        return self.symbol.x - self.symbol.quiet * self.symbol.module - CODE_GAP - margin(self.size)

    @property
    def _symbol_bottom(self) -> float:
        if self.symbol is None:
            return 0.0
        return self.symbol.y + (len(self.symbol.modules) + self.symbol.quiet) * self.symbol.module

    def _within(self, lines: list[Line]) -> bool:
        right = self.size.width_mm - margin(self.size) + 1e-6
        return all(line.x + font(line.face).width(line.text, line.capitals) <= right for line in lines)


def scale_of(size: Size) -> float:
    """Return the scale of letters that suits a plate of that size."""
    return min(size.width_mm / USUAL.width_mm, size.height_mm / USUAL.height_mm)


def _enlarged(size: Size) -> float:
    """Return how much heavier frame, rules and margin are than on a plate of the usual size: never lighter."""
    return max(1.0, scale_of(size))


def margin(size: Size) -> float:
    """Return the room between the edge of a plate and all but its frame [mm]."""
    return MARGIN * _enlarged(size)


def frame(size: Size) -> Frame:
    """Return the frame of a plate."""
    return Frame(_INSET * _enlarged(size), _FRAME * _enlarged(size))
