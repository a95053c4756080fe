"""A drawing on a page of a PDF: the same lines and letters as in SVG, as vectors."""

from typing import Final

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus.flowables import Flowable

from sccr.report.diagram.lettering import BOLD
from sccr.report.diagram.lettering import REGULAR
from sccr.report.diagram.lettering import fonts
from sccr.report.diagram.scene import DASHES
from sccr.report.diagram.scene import Arc
from sccr.report.diagram.scene import Circle
from sccr.report.diagram.scene import Drawing
from sccr.report.diagram.scene import Item
from sccr.report.diagram.scene import Line
from sccr.report.diagram.scene import Words

_ROUND: Final = 1


class DrawnSheet(Flowable):
    """A drawing in the flow of a page, scaled down only where it would not fit."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self._drawing = drawing
        self._scale = 1.0

    def wrap(self, avail_width: float, avail_height: float) -> tuple[float, float]:
        """Return the width and height that it takes up [pt]."""
        frame = getattr(self, "_frame", None)
        tallest = frame._height - frame._topPadding - frame._bottomPadding if frame is not None else avail_height
        across, down = self._drawing.width * mm, self._drawing.height * mm
        self._scale = min(1.0, avail_width / across, tallest / down)
        return across * self._scale, down * self._scale

    def draw(self) -> None:
        """Draw it where the page has put it."""
        self.canv.scale(self._scale, self._scale)
        draw(self.canv, self._drawing)


def draw(canvas: Canvas, drawing: Drawing) -> None:
    """Draw on a canvas, the lower left corner of the drawing at its origin."""
    fonts()
    canvas.setLineJoin(_ROUND)
    for group in drawing.groups:
        for item in group.items:
            _draw(canvas, item, drawing.height)


def _draw(canvas: Canvas, item: Item, height: float) -> None:
    if isinstance(item, Words):
        _letter(canvas, item, height)
    elif isinstance(item, Line):
        _trace(canvas, item, height)
    elif isinstance(item, Circle):
        canvas.setStrokeColor(HexColor("#000000"))
        canvas.setLineWidth(item.width * mm)
        if item.fill is not None:
            canvas.setFillColor(HexColor(item.fill))
        canvas.circle(item.x * mm, (height - item.y) * mm, item.radius * mm, stroke=1, fill=int(item.fill is not None))
    else:
        _bend(canvas, item, height)


def _bend(canvas: Canvas, arc: Arc, height: float) -> None:
    canvas.setStrokeColor(HexColor("#000000"))
    canvas.setLineWidth(arc.width * mm)
    left, right = (arc.x - arc.radius) * mm, (arc.x + arc.radius) * mm
    lower, upper = (height - arc.y - arc.radius) * mm, (height - arc.y + arc.radius) * mm
    canvas.arc(left, lower, right, upper, startAng=-arc.start, extent=-arc.sweep)


def _trace(canvas: Canvas, line: Line, height: float) -> None:
    path = canvas.beginPath()
    for number, (x, y) in enumerate(line.points):
        (path.lineTo if number else path.moveTo)(x * mm, (height - y) * mm)
    if line.fill is not None:
        canvas.setFillColor(HexColor(line.fill))
    canvas.setStrokeColor(HexColor(line.colour))
    canvas.setLineWidth(line.width * mm)
    canvas.setDash([length * mm for length in DASHES] if line.dashed else [])
    canvas.drawPath(path, stroke=int(line.width > 0), fill=int(line.fill is not None))
    canvas.setDash([])


def _letter(canvas: Canvas, words: Words, height: float) -> None:
    canvas.setFillColor(HexColor(words.colour))
    canvas.setFont(BOLD if words.bold else REGULAR, words.size * mm)
    x, y = words.x * mm, (height - words.y) * mm
    if words.anchor == "end":
        canvas.drawRightString(x, y, words.text)
    elif words.anchor == "middle":
        canvas.drawCentredString(x, y, words.text)
    else:
        canvas.drawString(x, y, words.text)
