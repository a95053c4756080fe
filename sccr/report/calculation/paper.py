"""The pages of the PDF: paper, margins, header and footer, page x of y."""

from collections.abc import Callable
from enum import StrEnum
from io import BytesIO
from typing import Any
from typing import Final

from reportlab.lib.pagesizes import A4
from reportlab.lib.pagesizes import LETTER
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate
from reportlab.platypus import Frame
from reportlab.platypus import PageTemplate

from sccr.report.calculation.blocks import Report
from sccr.report.diagram.lettering import BOLD
from sccr.report.diagram.lettering import REGULAR
from sccr.report.diagram.lettering import spelled
from sccr.report.diagram.lettering import width

_SIDE: Final = 15 * mm
_TOP: Final = 20 * mm
_BOTTOM: Final = 18 * mm
_RULE: Final = 0.3 * mm
_SMALL: Final = 7.0
_DIGEST: Final = 6.0


class Paper(StrEnum):
    """The sizes of paper that a report is set for."""

    A4 = "A4"
    LETTER = "letter"

    @property
    def size(self) -> tuple[float, float]:
        """Return width and height [pt]."""
        return A4 if self is Paper.A4 else LETTER

    @property
    def room(self) -> float:
        """Return the width between the margins [pt]."""
        return self.size[0] - 2 * _SIDE


def page_template(report: Report, paper: Paper) -> tuple[BaseDocTemplate, BytesIO]:
    """Return the document that pages are poured into, and where its bytes go."""
    down = paper.size[1]
    target = BytesIO()
    template = BaseDocTemplate(
        target,
        pagesize=paper.size,
        title=f"{report.heading}: {report.subject}",
        subject=report.headline,
        lang="en",
        initialFontName=REGULAR,  # else one is named that is not embedded
        invariant=1,  # the same rating gives the same bytes
    )
    frame = Frame(
        _SIDE, _BOTTOM, paper.room, down - _TOP - _BOTTOM, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0
    )
    template.addPageTemplates([PageTemplate("page", [frame], pagesize=paper.size)])
    return template, target


def numbered(report: Report, paper: Paper) -> type[Canvas]:
    """Return the canvas of a report, which writes header and footer once it knows how many pages there are."""
    furnish = _furniture(report, paper)

    class Numbered(Canvas):
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self._pages: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802 - the name is reportlab's
            self._pages.append(dict(self.__dict__))
            self._startPage()  # type: ignore[attr-defined]  # the page number and what a page starts with

        def save(self) -> None:
            for number, page in enumerate(self._pages, start=1):
                self.__dict__.update(page)
                furnish(self, number, len(self._pages))
                super().showPage()
            super().save()

    return Numbered


def _furniture(report: Report, paper: Paper) -> Callable[[Canvas, int, int], None]:
    across, down = paper.size
    subject = _shortened(spelled(report.subject), paper.room - width(report.heading, _SMALL) - 6 * mm)

    def furnish(canvas: Canvas, number: int, count: int) -> None:
        canvas.setLineWidth(_RULE)
        canvas.setFont(BOLD, _SMALL)
        canvas.drawString(_SIDE, down - 13 * mm, subject)
        canvas.setFont(REGULAR, _SMALL)
        canvas.drawRightString(across - _SIDE, down - 13 * mm, report.heading)
        canvas.line(_SIDE, down - 15 * mm, across - _SIDE, down - 15 * mm)
        canvas.line(_SIDE, 14 * mm, across - _SIDE, 14 * mm)
        canvas.drawRightString(across - _SIDE, 10 * mm, f"page {number} of {count}")
        canvas.setFont(REGULAR, _DIGEST)
        canvas.drawString(_SIDE, 10 * mm, f"document {report.digest}")

    return furnish


def _shortened(text: str, room: float) -> str:
    """Return a text cut to one line of bold; the whole of it stands on the first page."""
    if width(text, _SMALL, bold=True) <= room:
        return text
    while text and width(f"{text}…", _SMALL, bold=True) > room:
        text = text[:-1]
    return f"{text}…"
