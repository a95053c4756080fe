"""A nameplate as PDF: one page of the size of the plate, its letters text that can be selected, its font embedded."""

import re
from io import BytesIO
from threading import Lock
from typing import Final

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from sccr.nameplate.code import Symbology
from sccr.nameplate.drawing import Drawing
from sccr.nameplate.drawing import Line
from sccr.nameplate.fields import Nameplate
from sccr.nameplate.font import Face
from sccr.nameplate.font import font
from sccr.nameplate.font import font_file
from sccr.nameplate.layout import plate
from sccr.nameplate.size import Size

#: reportlab reads a font that two documents share from one place in its file, so one document is made at a time.
_LOCK: Final = Lock()
_REGISTERED: Final[set[str]] = set()


def render_pdf(
    nameplate: Nameplate, size: Size | None = None, symbology: Symbology | None = Symbology.DATA_MATRIX
) -> bytes:
    """Return a nameplate as PDF, byte for byte the same for the same nameplate.

    Raises
    ------
    DoesNotFit, Unletterable
        See `layout.plate`.
    """
    drawing = plate(nameplate, size, symbology)
    return pdf_of(drawing, drawing.size.width_mm * mm, drawing.size.height_mm * mm)


def pdf_of(drawing: Drawing, width: float, height: float) -> bytes:
    """Return a plate that is laid out on a page of that width and height [1/72 inch], in its upper left corner."""
    with _LOCK:
        _register()
        buffer = BytesIO()
        canvas = Canvas(buffer, pagesize=(width, height), invariant=True, pageCompression=1)
        canvas.setTitle(drawing.title)
        canvas.setAuthor("")
        canvas.translate(0, height)
        _draw(canvas, drawing)
        canvas.save()
    return buffer.getvalue()


def _register() -> None:
    for face in Face:
        if face.value not in _REGISTERED:
            registerFont(TTFont(_name(face), BytesIO(font_file(face))))
            _REGISTERED.add(face.value)


def _name(face: Face) -> str:
    return f"nameplate-{face.value}"


def _draw(canvas: Canvas, drawing: Drawing) -> None:
    size, frame = drawing.size, drawing.frame
    canvas.setFillGray(0)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(frame.weight * mm)
    inner = (size.width_mm - 2 * frame.inset, size.height_mm - 2 * frame.inset)
    canvas.rect(frame.inset * mm, -(frame.inset + inner[1]) * mm, inner[0] * mm, inner[1] * mm)
    for rule in drawing.rules:
        canvas.setLineWidth(rule.weight * mm)
        canvas.line(rule.x * mm, -rule.y * mm, (rule.x + rule.length) * mm, -rule.y * mm)
    for line in drawing.lines:
        _write(canvas, line)
    if drawing.symbol is not None:
        side = drawing.symbol.module
        path = canvas.beginPath()
        for x, y, length in drawing.symbol.runs():
            path.rect(x * mm, -(y + side) * mm, length * mm, side * mm)
        canvas.drawPath(path, stroke=0, fill=1)


def _write(canvas: Canvas, line: Line) -> None:
    """Write a line word by word, each placed: readers that take advances as whole thousandths drift otherwise."""
    letters = font(line.face)
    text = canvas.beginText()
    text.setFont(_name(line.face), letters.em(line.capitals) * mm)
    x = line.x
    for word in re.findall(r"[^ ]+ ?| ", line.text):
        text.setTextOrigin(x * mm, -line.baseline * mm)
        text.textOut(word)
        x += letters.width(word, line.capitals)
    canvas.drawText(text)
