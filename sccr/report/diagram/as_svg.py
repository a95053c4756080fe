"""The one-line diagram as SVG: presentation attributes only, no style, no script, so that any page may hold it."""

from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Mapping
from math import cos
from math import radians
from math import sin
from typing import Any
from typing import Final
from xml.sax.saxutils import escape
from xml.sax.saxutils import quoteattr

from sccr.report.diagram.drawing import PAPER_COLUMNS
from sccr.report.diagram.drawing import drawings
from sccr.report.diagram.drawing import whole
from sccr.report.diagram.scene import DASHES
from sccr.report.diagram.scene import Arc
from sccr.report.diagram.scene import Circle
from sccr.report.diagram.scene import Drawing
from sccr.report.diagram.scene import Group
from sccr.report.diagram.scene import Item
from sccr.report.diagram.scene import Line
from sccr.report.diagram.scene import Words
from sccr.report.diagram.symbols import Symbols
from sccr.result import Rating

_FONTS: Final = "DejaVu Sans Condensed, Liberation Sans, Arial, Helvetica, sans-serif"
#: Code points that XML cannot hold, which JSON can.
_NOT_XML: Final = {0xFFFE: "\ufffd", 0xFFFF: "\ufffd"}


def as_svg(
    rating: Rating,
    document: Mapping[str, Any],
    *,
    symbols: Symbols = Symbols.ANSI,
    folded_at: Collection[str] = (),
) -> str:
    """Return the one-line diagram of a rated document in one piece, as a document of its own.

    Each component is a group with its id as `data-component`. What the components `folded_at` feed is folded into
    them.
    """
    return svg(whole(rating, document, symbols, folded_at))


def sheets(
    rating: Rating, document: Mapping[str, Any], *, symbols: Symbols = Symbols.ANSI, columns: int = PAPER_COLUMNS
) -> list[str]:
    """Return the one-line diagram folded into sheets that fit upright on A4 and letter."""
    return [svg(drawing) for drawing in drawings(rating, document, symbols, columns)]


def svg(drawing: Drawing) -> str:
    """Return a drawing as an SVG element that may stand alone or in a page."""
    width, height = _number(drawing.width), _number(drawing.height)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img" aria-label={_attribute(drawing.title)} '
        f'font-family="{_FONTS}" fill="none" stroke-linejoin="round">'
    )
    body = "\n".join(_group(group) for group in drawing.groups if group.items)
    return f"{head}\n<title>{_text(drawing.title)}</title>\n{body}\n</svg>\n"


def _group(group: Group) -> str:
    named = "" if group.component is None else f" data-component={_attribute(group.component)}"
    title = "" if group.title is None else f"<title>{_text(group.title)}</title>"
    return f'<g class="{" ".join(group.classes)}"{named}>{title}{"".join(map(_item, group.items))}</g>'


def _item(item: Item) -> str:
    if isinstance(item, Words):
        return _words(item)
    if isinstance(item, Line):
        return _line(item)
    stroke = f'stroke="#000000" stroke-width="{_number(item.width)}"'
    if isinstance(item, Circle):
        fill = "" if item.fill is None else f' fill="{item.fill}"'
        return f'<circle cx="{_number(item.x)}" cy="{_number(item.y)}" r="{_number(item.radius)}" {stroke}{fill}/>'
    return f'<path d="{" ".join(_arc(item))}" {stroke}/>'


def _line(line: Line) -> str:
    points = " ".join(f"{_number(x)},{_number(y)}" for x, y in line.points)
    fill = "" if line.fill is None else f' fill="{line.fill}"'
    dashes = f' stroke-dasharray="{DASHES[0]} {DASHES[1]}"' if line.dashed else ""
    stroke = f' stroke="{line.colour}" stroke-width="{_number(line.width)}"' if line.width else ""
    return f'<polyline points="{points}"{stroke}{fill}{dashes}/>'


def _arc(arc: Arc) -> Iterator[str]:
    """Yield the path of an arc of less than a full turn."""
    start, end = radians(arc.start), radians(arc.start + arc.sweep)
    yield f"M{_number(arc.x + arc.radius * cos(start))} {_number(arc.y + arc.radius * sin(start))}"
    radius, large, clockwise = _number(arc.radius), int(abs(arc.sweep) > 180), int(arc.sweep > 0)
    end_x, end_y = _number(arc.x + arc.radius * cos(end)), _number(arc.y + arc.radius * sin(end))
    yield f"A{radius} {radius} 0 {large} {clockwise} {end_x} {end_y}"


def _words(words: Words) -> str:
    anchor = "" if words.anchor == "start" else f' text-anchor="{words.anchor}"'
    weight = ' font-weight="bold"' if words.bold else ""
    place = f'x="{_number(words.x)}" y="{_number(words.y)}" font-size="{_number(words.size)}"'
    return f'<text {place} fill="{words.colour}"{weight}{anchor} xml:space="preserve">{_text(words.text)}</text>'


def _number(value: float) -> str:
    """Return a length [mm] to a hundredth, without what says nothing."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _text(text: str) -> str:
    return escape(text.translate(_NOT_XML))


def _attribute(text: str) -> str:
    return quoteattr(text.translate(_NOT_XML))
