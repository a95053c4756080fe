"""The report of a record: the calculation for the inspector's file, or the rating in words for a script."""

from collections.abc import Mapping
from typing import Any
from typing import Final

from flask import Response
from flask import request

from sccr.report.as_html import as_html
from sccr.report.as_html import content_security_policy
from sccr.report.as_markdown import as_markdown
from sccr.report.as_pdf import as_pdf
from sccr.report.diagram.symbols import Symbols

from .forms import as_file
from .forms import wanted_form
from .operations import in_time
from .parameters import Reader
from .parameters import one_of
from .service import service
from .store import Record
from .stored_ratings import rating_of

_FORMS: Final = {"html": "text/html", "pdf": "application/pdf", "markdown": "text/markdown"}
_SUFFIXES: Final = {"html": "html", "pdf": "pdf", "markdown": "md"}

#: The parameters of a report. paper: of the PDF.
PARAMETERS: Final[Mapping[str, Reader]] = {
    "format": one_of(_FORMS.keys()),
    "paper": one_of({"a4": "A4", "letter": "letter"}),
    "symbols": one_of({symbols.value: symbols for symbols in Symbols}),
}


def answer_report(record: Record, asked: Mapping[str, Any]) -> Response:
    """Return the report of a record as an answer, in the form and on the paper that are asked for by PARAMETERS."""
    form = wanted_form(_FORMS, asked["format"])
    written = in_time(service().settings.work_seconds, lambda: _written(record, form, asked))
    designation = record.document["panel"]["designation"]
    response = as_file(written, _FORMS[form], f"{designation} short-circuit current rating.{_SUFFIXES[form]}")
    if form == "html":
        response.headers["Content-Security-Policy"] = f"{content_security_policy()}; frame-ancestors 'none'"
    response.add_etag()
    response.cache_control.no_cache = True
    response.make_conditional(request)
    return response


def _written(record: Record, form: str, asked: Mapping[str, Any]) -> str | bytes:
    rating = rating_of(record.result)
    if form == "markdown":
        return as_markdown(rating)
    symbols = asked["symbols"] or Symbols.ANSI
    if form == "html":
        return as_html(rating, record.document, symbols=symbols, record=record)
    return as_pdf(rating, record.document, paper=asked["paper"] or "A4", symbols=symbols, record=record)
