"""A nameplate as PNG: its PDF, rendered on whole dots."""

from io import BytesIO
from threading import Lock
from typing import Final

import pypdfium2
from reportlab.lib.units import inch

from sccr.nameplate.as_pdf import pdf_of
from sccr.nameplate.code import Symbology
from sccr.nameplate.errors import InvalidSize
from sccr.nameplate.fields import Nameplate
from sccr.nameplate.layout import plate
from sccr.nameplate.size import USUAL
from sccr.nameplate.size import Size

#: The resolutions that are made [dots an inch], and the most dots of an image.
_LEAST_DPI: Final = 72
_MOST_DPI: Final = 1200
_MOST_DOTS: Final = 40_000_000
_MM_PER_INCH: Final = 25.4
#: PDFium is not made for several threads at once.
_LOCK: Final = Lock()


def render_png(
    nameplate: Nameplate,
    size: Size | None = None,
    symbology: Symbology | None = Symbology.DATA_MATRIX,
    dpi: int = 300,
) -> bytes:
    """Return a nameplate as PNG in shades of grey, its resolution [dots an inch] written into it.

    At 300 dots an inch, and at multiples of it, every module of the code is whole dots.

    Raises
    ------
    InvalidSize
        Where the resolution is out of bounds, or the image would have too many dots.
    DoesNotFit, Unletterable
        See `layout.plate`.
    """
    size = size or USUAL
    across, down = (max(1, round(side / _MM_PER_INCH * dpi)) for side in (size.width_mm, size.height_mm))
    if not _LEAST_DPI <= dpi <= _MOST_DPI:
        raise InvalidSize(f"{dpi} dots an inch are not made: {_LEAST_DPI} to {_MOST_DPI} are")
    if across * down > _MOST_DOTS:
        raise InvalidSize(f"{size.text} at {dpi} dots an inch is too many dots: take a lower resolution")
    page = pdf_of(plate(nameplate, size, symbology), across * inch / dpi, down * inch / dpi)
    return _rendered(page, (across, down), dpi)


def _rendered(page: bytes, dots: tuple[int, int], dpi: int) -> bytes:
    buffer = BytesIO()
    with _LOCK:
        document = pypdfium2.PdfDocument(page)
        try:
            # a hair less: the page's size is rounded in the PDF, and a fraction of a dot would make another dot
            image = document[0].render(scale=(dpi / inch) * (1 - 1e-6), grayscale=True).to_pil()
        finally:
            document.close()
        assert image.size == dots
        image.save(buffer, format="PNG", dpi=(dpi, dpi))
    return buffer.getvalue()
