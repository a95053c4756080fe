"""The calculation report as a PDF for the inspector's file, its letters embedded, its diagram drawn as lines."""

from collections.abc import Mapping
from threading import Lock
from typing import Any
from typing import Final

from sccr.report.calculation.contents import RecordReference
from sccr.report.calculation.contents import contents
from sccr.report.calculation.flow import flow
from sccr.report.calculation.paper import Paper
from sccr.report.calculation.paper import numbered
from sccr.report.calculation.paper import page_template
from sccr.report.diagram.drawing import drawings
from sccr.report.diagram.lettering import fonts
from sccr.report.diagram.lettering import spelled
from sccr.report.diagram.symbols import Symbols
from sccr.result import Rating

#: reportlab reads the letters that a document needs from the one font file, and keeps its place in it as it does so.
_ONE_AT_A_TIME: Final = Lock()


def as_pdf(
    rating: Rating,
    document: Mapping[str, Any],
    *,
    paper: Paper | str = Paper.A4,
    symbols: Symbols = Symbols.ANSI,
    record: RecordReference | None = None,
) -> bytes:
    """Return the calculation report of a rated document as a PDF on "A4" or "letter".

    The same rating gives the same bytes. A character that the letters of the report do not have is written as its
    code point, <U+4E2D>. It may be called from several threads.

    Raises
    ------
    ValueError
        Where the rating is of another document, or the paper is not known.
    """
    on = Paper(paper)
    report = contents(rating, document, record)
    with _ONE_AT_A_TIME:
        fonts()
        template, target = page_template(report, on)
        drawn = drawings(rating, document, symbols, spelling=spelled)
        template.build(list(flow(report, drawn, on.room)), canvasmaker=numbered(report, on))
    return target.getvalue()
