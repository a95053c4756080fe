"""The sections of the report as what flows over the pages of a PDF."""

from collections.abc import Iterator
from collections.abc import Sequence
from typing import Any
from typing import Final
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak
from reportlab.platypus import Flowable
from reportlab.platypus import KeepTogether
from reportlab.platypus import LongTable
from reportlab.platypus import PageBreak
from reportlab.platypus import Paragraph
from reportlab.platypus import Spacer
from reportlab.platypus import TableStyle

from sccr.report.calculation.blocks import Block
from sccr.report.calculation.blocks import Diagram
from sccr.report.calculation.blocks import Facts
from sccr.report.calculation.blocks import Report
from sccr.report.calculation.blocks import Section
from sccr.report.calculation.blocks import Sentences
from sccr.report.calculation.blocks import Signatures
from sccr.report.calculation.blocks import Table
from sccr.report.diagram.lettering import BOLD
from sccr.report.diagram.lettering import REGULAR
from sccr.report.diagram.lettering import spelled
from sccr.report.diagram.lettering import width
from sccr.report.diagram.on_paper import DrawnSheet
from sccr.report.diagram.scene import Drawing

_CELL_SIZE: Final = 7.0
_PADDING: Final = 1.1 * mm
_GREY: Final = HexColor("#aaaaaa")
_BLACK: Final = HexColor("#000000")

_TITLE: Final = ParagraphStyle("title", fontName=BOLD, fontSize=15, leading=19)
_SUBJECT: Final = ParagraphStyle("subject", fontName=REGULAR, fontSize=9.5, leading=12.5, spaceAfter=3 * mm)
_HEADLINE: Final = ParagraphStyle(
    "headline",
    fontName=BOLD,
    fontSize=12.5,
    leading=17,
    borderWidth=1.4,
    borderColor=_BLACK,
    borderPadding=6,
    leftIndent=7,
    rightIndent=7,
)
_HEADING: Final = ParagraphStyle(
    "heading", fontName=BOLD, fontSize=11, leading=14, spaceBefore=6 * mm, spaceAfter=1 * mm
)
_TEXT: Final = ParagraphStyle("text", fontName=REGULAR, fontSize=8.5, leading=11.5, spaceAfter=1 * mm)
_LISTED: Final = ParagraphStyle(
    "listed", parent=_TEXT, bulletFontName=REGULAR, leftIndent=4 * mm, bulletIndent=0.5 * mm
)
_CELL: Final = ParagraphStyle("cell", fontName=REGULAR, fontSize=_CELL_SIZE, leading=8.8)
_STRONG: Final = ParagraphStyle("strong", parent=_CELL, fontName=BOLD)

#: What must be free below a heading, else it goes to the next page [pt].
_BELOW_HEADING: Final = 40 * mm
#: A height that only an empty page has free [pt], on A4 and letter alike.
_NEARLY_A_PAGE: Final = 600
_FACTS: Final = (0.24, 0.76)
_SIGNATURES: Final = (0.18, 0.32, 0.32, 0.18)
_SIGNATURE_HEIGHT: Final = 12 * mm


def flow(report: Report, drawn: Sequence[Drawing], room: float) -> Iterator[Flowable]:
    """Yield the report as flowables, `room` [pt] wide."""
    yield Paragraph(_plain(report.heading), _TITLE)
    yield Paragraph(_plain(report.subject), _SUBJECT)
    yield Spacer(0, 2 * mm)
    yield Paragraph(f"{_plain(report.status)}: {_plain(report.headline)}", _HEADLINE)
    yield Spacer(0, 2 * mm)
    for section in report.sections:
        yield from _section(section, drawn, room)


def _section(section: Section, drawn: Sequence[Drawing], room: float) -> Iterator[Flowable]:
    heading = Paragraph(_plain(section.heading), _HEADING)
    if section.own_page:
        yield PageBreak()
    if isinstance(section.blocks[0], Signatures | Diagram):
        first, *rest = (flowable for block in section.blocks for flowable in _block(block, drawn, room))
        yield KeepTogether([heading, first])
        yield from rest
        return
    yield CondPageBreak(_BELOW_HEADING)
    yield heading
    for block in section.blocks:
        yield from _block(block, drawn, room)


def _block(block: Block, drawn: Sequence[Drawing], room: float) -> Iterator[Flowable]:
    if isinstance(block, Table):
        yield _table(block, room)
    elif isinstance(block, Facts):
        yield _facts(block, room)
    elif isinstance(block, Sentences):
        for text in block.texts:
            yield Paragraph(_plain(text), _LISTED if block.listed else _TEXT, bulletText="•" if block.listed else None)
    elif isinstance(block, Diagram):
        yield from _diagram(block, drawn)
    else:
        yield _signatures(block, room)


def _diagram(block: Diagram, drawn: Sequence[Drawing]) -> Iterator[Flowable]:
    for number, drawing in enumerate(drawn):
        caption = block.legend if number == 0 else ""
        if len(drawn) > 1:
            caption = f"Sheet {number + 1} of {len(drawn)}. {caption}"
        yield KeepTogether([Paragraph(_plain(caption), _TEXT), DrawnSheet(drawing), Spacer(0, 4 * mm)])


class _Rows(LongTable):
    """A table that is split between rows, and within one only where a page cannot hold it."""

    def split(self, avail_width: float, avail_height: float) -> list[Flowable]:
        """Return what fits into the height [pt] and the rest, nothing where it has to go to the next page."""
        self.splitInRow = int(avail_height > _NEARLY_A_PAGE)
        parts: list[Flowable] = super().split(avail_width, avail_height)
        return parts


def _table(table: Table, room: float) -> LongTable:
    shares = sum(column.share for column in table.columns)
    widths = [room * column.share / shares for column in table.columns]
    rows = [[_cell(column.heading, w, True) for column, w in zip(table.columns, widths, strict=True)]]
    for number, row in enumerate(table.rows):
        strong = number in table.strong
        rows.append([_cell(text, w, strong) for text, w in zip(row, widths, strict=True)])
    style: list[Any] = [*_LINES, ("LINEBELOW", (0, 0), (-1, 0), 0.8, _BLACK), ("FONTNAME", (0, 0), (-1, 0), BOLD)]
    style += [("FONTNAME", (0, number + 1), (-1, number + 1), BOLD) for number in sorted(table.strong)]
    return _Rows(rows, colWidths=widths, repeatRows=1, style=TableStyle(style), hAlign="LEFT", spaceBefore=2 * mm)


_LINES: Final = (
    ("FONT", (0, 0), (-1, -1), REGULAR, _CELL_SIZE, 8.8),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LINEBELOW", (0, 0), (-1, -1), 0.3, _GREY),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 2 * _PADDING),
    ("TOPPADDING", (0, 0), (-1, -1), 1.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
)


_TO_SIGN: Final = (
    ("VALIGN", (0, 1), (-1, -1), "BOTTOM"),
    ("LINEBELOW", (0, 0), (-1, -1), 0.6, _BLACK),
    ("NOSPLIT", (0, 0), (-1, -1)),
)


def _cell(text: str, room: float, strong: bool) -> str | Paragraph:
    """Return a text that fits into one line as it is, which is much faster to set, else one that is broken."""
    shown = spelled(text)
    if width(shown, _CELL_SIZE, strong) <= room - 2 * _PADDING:
        return shown
    return Paragraph(escape(shown), _STRONG if strong else _CELL)


def _facts(facts: Facts, room: float) -> LongTable:
    widths = [room * share for share in _FACTS]
    rows = [[_cell(name, widths[0], False), _cell(stated, widths[1], False)] for name, stated in facts.rows]
    return _Rows(rows, colWidths=widths, style=TableStyle(_LINES), hAlign="LEFT", spaceAfter=2 * mm)


def _signatures(block: Signatures, room: float) -> LongTable:
    rows = [["", "Name", "Signature", "Date"], *([signer, "", "", ""] for signer in block.signers)]
    heights = [None, *[_SIGNATURE_HEIGHT] * len(block.signers)]
    style = TableStyle([*_LINES, *_TO_SIGN])
    return LongTable(
        rows,
        colWidths=[room * s for s in _SIGNATURES],
        rowHeights=heights,
        style=style,
        hAlign="LEFT",
        spaceBefore=2 * mm,
    )


def _plain(text: str) -> str:
    """Return text as a paragraph takes it: markup in an id is text."""
    return escape(spelled(text))
