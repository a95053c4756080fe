"""The pieces that symbols are put together from: each stands on a vertical wire at x = 0 [mm], y down from its top."""

from typing import Final

from sccr.report.diagram.scene import MEDIUM
from sccr.report.diagram.scene import WHITE
from sccr.report.diagram.scene import Arc
from sccr.report.diagram.scene import Circle
from sccr.report.diagram.scene import Item
from sccr.report.diagram.scene import Line
from sccr.report.diagram.scene import Words

#: The height of a symbol from terminal to terminal [mm].
HEIGHT: Final = 12.0
_LETTERS: Final = 2.6

Items = tuple[Item, ...]


def line(*points: tuple[float, float]) -> Items:
    """A line through points."""
    return (Line(points, MEDIUM),)


def wire(start: float, end: float) -> Items:
    """A piece of the vertical wire."""
    return line((0, start), (0, end))


def shape(*points: tuple[float, float], fill: str = WHITE) -> Items:
    """A closed outline."""
    return (Line((*points, points[0]), MEDIUM, fill=fill),)


def box(half: float, top: float, bottom: float, dashed: bool = False) -> Items:
    """A rectangle about the wire."""
    corners = ((-half, top), (half, top), (half, bottom), (-half, bottom), (-half, top))
    return (Line(corners, MEDIUM, fill=None if dashed else WHITE, dashed=dashed),)


def ring(y: float, radius: float, fill: str | None = WHITE) -> Items:
    """A circle on the wire."""
    return (Circle(0, y, radius, MEDIUM, fill),)


def bow(x: float, y: float, radius: float, start: float, sweep: float) -> Items:
    """A part of a circle, from the angle `start` on by `sweep` [degrees], clockwise."""
    return (Arc(x, y, radius, start, sweep, MEDIUM),)


def letters(text: str, y: float, size: float = _LETTERS, x: float = 0) -> Items:
    """Letters centred at x and y."""
    return (Words(x, y + size * 0.36, text, size, bold=True, anchor="middle"),)


def cased(half: float, top: float, bottom: float, inner: Items) -> Items:
    """Something in a box that the wire enters and leaves."""
    return (*wire(0, top), *box(half, top, bottom), *inner, *wire(bottom, HEIGHT))


def cross(y: float, half: float) -> Items:
    """A diagonal cross on the wire."""
    return (*line((-half, y - half), (half, y + half)), *line((-half, y + half), (half, y - half)))


def waves(x: float, y: float, half: float) -> Items:
    """A sine wave: alternating current."""
    return (*bow(x - half / 2, y, half / 2, 180, 180), *bow(x + half / 2, y, half / 2, 180, -180))


def direct(x: float, y: float, half: float) -> Items:
    """A line over dashes: direct current."""
    dashes = [line((x + a * half, y + 0.5), (x + b * half, y + 0.5)) for a, b in ((-1, -0.5), (-0.25, 0.25), (0.5, 1))]
    return (*line((x - half, y - 0.5), (x + half, y - 0.5)), *(item for dash in dashes for item in dash))


def earth(x: float, y: float) -> Items:
    """The ground sign, its wire from y down."""
    bars = [line((x - w, y + d), (x + w, y + d)) for w, d in ((1.8, 1.2), (1.1, 1.9), (0.5, 2.6))]
    return (*line((x, y), (x, y + 1.2)), *(item for bar in bars for item in bar))
