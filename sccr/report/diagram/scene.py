"""What a drawing is made of: lines, circles, arcs and words in millimetres, x to the right, y down."""

from collections.abc import Iterator
from dataclasses import dataclass
from dataclasses import replace
from typing import Final

Point = tuple[float, float]

BLACK: Final = "#000000"
WHITE: Final = "#ffffff"
GREY: Final = "#555555"

THIN: Final = 0.25
MEDIUM: Final = 0.4
DASHES: Final = (1.2, 0.8)


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points [mm]; `fill` closes it and fills it."""

    points: tuple[Point, ...]
    width: float = THIN
    colour: str = BLACK
    fill: str | None = None
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle [mm], empty unless it has a `fill`."""

    x: float
    y: float
    radius: float
    width: float = THIN
    fill: str | None = None


@dataclass(frozen=True, slots=True)
class Arc:
    """A part of a circle [mm]: from the angle `start` on by `sweep` [degrees], clockwise as y points down."""

    x: float
    y: float
    radius: float
    start: float
    sweep: float
    width: float = THIN


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text [mm] at its baseline; `anchor` is 'start', 'middle' or 'end'."""

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    colour: str = BLACK
    anchor: str = "start"


Item = Line | Circle | Arc | Words


@dataclass(frozen=True, slots=True)
class Group:
    """Items that belong together: a component by its id, a wire, or nothing named."""

    items: tuple[Item, ...]
    classes: tuple[str, ...]
    component: str | None = None
    title: str | None = None


@dataclass(frozen=True, slots=True)
class Drawing:
    """A sheet [mm] and what is drawn on it, from the bottom up. `width` and `height` hold all of it."""

    width: float
    height: float
    groups: tuple[Group, ...]
    title: str


def moved(items: tuple[Item, ...], x: float, y: float) -> Iterator[Item]:
    """Yield items moved by x and y [mm]."""
    for item in items:
        if isinstance(item, Line):
            yield replace(item, points=tuple((px + x, py + y) for px, py in item.points))
        else:
            yield replace(item, x=item.x + x, y=item.y + y)
