"""A nameplate as SVG: letters are outlines, so it looks the same wherever it is opened, with no font and no style."""

from xml.sax.saxutils import escape
from xml.sax.saxutils import quoteattr

from sccr.nameplate.code import Symbology
from sccr.nameplate.drawing import Drawing
from sccr.nameplate.drawing import Line
from sccr.nameplate.drawing import Symbol
from sccr.nameplate.fields import Nameplate
from sccr.nameplate.font import font
from sccr.nameplate.layout import plate
from sccr.nameplate.size import Size


def render_svg(
    nameplate: Nameplate, size: Size | None = None, symbology: Symbology | None = Symbology.DATA_MATRIX
) -> str:
    """Return a nameplate as SVG, in millimetres.

    Each line of letters is a group whose `aria-label` is its text and whose `data-capitals` the height of its
    capitals [mm]; the whole text stands in `desc` as well. There is no script, no style and no reference in it.

    Raises
    ------
    DoesNotFit, Unletterable
        See `layout.plate`.
    """
    return svg_of(plate(nameplate, size, symbology))


def svg_of(drawing: Drawing) -> str:
    """Return a plate that is laid out as SVG."""
    width, height = f"{drawing.size.width_mm:g}", f"{drawing.size.height_mm:g}"
    inset = drawing.frame.inset
    inner = (drawing.size.width_mm - 2 * inset, drawing.size.height_mm - 2 * inset)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
        f' viewBox="0 0 {width} {height}" role="img">',
        f"<title>{escape(drawing.title)}</title>",
        f"<desc>{escape(chr(10).join(line.text for line in drawing.lines))}</desc>",
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
        f'<rect x="{inset:g}" y="{inset:g}" width="{inner[0]:g}" height="{inner[1]:g}" fill="none" stroke="#000"'
        f' stroke-width="{drawing.frame.weight:g}"/>',
        *(_line(line) for line in drawing.lines),
        *(
            f'<path d="M{_mm(r.x)} {_mm(r.y)}h{_mm(r.length)}" stroke="#000" stroke-width="{r.weight:g}"/>'
            for r in drawing.rules
        ),
        *([] if drawing.symbol is None else [_symbol(drawing.symbol)]),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _line(line: Line) -> str:
    letters = font(line.face)
    scale = line.capitals / letters.capitals
    paths, x = [], 0
    for character in line.text:
        glyph = letters.glyph(character)
        if glyph.path:
            paths.append(f'<path transform="translate({x})" d="{glyph.path}"/>')
        x += glyph.advance
    return (
        f'<g transform="translate({_mm(line.x)} {_mm(line.baseline)}) scale({scale:.7f} {-scale:.7f})"'
        f' data-capitals="{_mm(line.capitals)}" role="img" aria-label={quoteattr(line.text)}>{"".join(paths)}</g>'
    )


def _symbol(symbol: Symbol) -> str:
    side = symbol.module
    runs = "".join(
        f"M{_fine(x)} {_fine(y)}h{_fine(length)}v{_fine(side)}h{_fine(-length)}z" for x, y, length in symbol.runs()
    )
    return f'<path shape-rendering="crispEdges" data-code="" d="{runs}"/>'


def _mm(length: float) -> str:
    return f"{round(length, 3):g}"


def _fine(length: float) -> str:
    return f"{round(length, 5):.8g}"
