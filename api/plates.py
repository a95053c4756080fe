"""The nameplate of a record: its fields, or the plate itself as a drawing."""

import re
from collections.abc import Mapping
from typing import Any
from typing import Final

from flask import Response
from flask import request

from sccr.errors import InvalidDocument
from sccr.nameplate import DoesNotFit
from sccr.nameplate import InvalidSize
from sccr.nameplate import Nameplate
from sccr.nameplate import NameplateMismatch
from sccr.nameplate import NameplateRefused
from sccr.nameplate import RecordReference
from sccr.nameplate import Size
from sccr.nameplate import Unletterable
from sccr.nameplate import nameplate
from sccr.nameplate.as_pdf import render_pdf
from sccr.nameplate.as_png import render_png
from sccr.nameplate.as_svg import render_svg
from sccr.nameplate.code import Symbology
from sccr.schema.problems import shown

from .answers import JSON
from .answers import as_json
from .forms import as_file
from .forms import wanted_form
from .operations import in_time
from .parameters import Misread
from .parameters import Reader
from .parameters import fault
from .parameters import one_of
from .parameters import whole
from .parameters import wrong_parameters
from .refusals import Refusal
from .service import service
from .store import Record
from .stored_ratings import rating_of

_FORMS: Final = {"json": JSON, "svg": "image/svg+xml", "pdf": "application/pdf", "png": "image/png"}
_SIZE: Final = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,2})?)x([0-9]{1,3}(?:\.[0-9]{1,2})?)")
_CODES: Final = {**{each.value: each for each in Symbology}, "none": None}
_LEAST_DPI: Final = 72
_MOST_DPI: Final = 1200
_USUAL_DPI: Final = 300


def _size(value: str) -> Size:
    match = _SIZE.fullmatch(value)
    if match is None:
        raise Misread("not-a-size", f'{shown(value)} is no size; write width and height in millimetres, as in "100x60"')
    try:
        return Size(float(match[1]), float(match[2]))
    except InvalidSize as error:
        raise Misread("out-of-range", str(error)) from error


#: The parameters of a nameplate. code: its symbology; a plate without one is asked for by "none".
PARAMETERS: Final[Mapping[str, Reader]] = {
    "format": one_of(_FORMS.keys()),
    "size": _size,
    "code": one_of({name: (symbology,) for name, symbology in _CODES.items()}),
    "dpi": whole(_LEAST_DPI, _MOST_DPI),
}


def answer_nameplate(record: Record, asked: Mapping[str, Any]) -> Response:
    """Return the nameplate of a record as an answer, in the form and size that are asked for by PARAMETERS.

    Raises Refusal: 409 where the panel gets no nameplate, 400 where it does not fit the size.
    """
    form = wanted_form(_FORMS, asked["format"])
    plate = _nameplate(record)
    size, (code,) = asked["size"] or Size(), asked["code"] or (Symbology.DATA_MATRIX,)
    dpi = asked["dpi"] or _USUAL_DPI
    response = in_time(service().settings.work_seconds, lambda: _answer(plate, form, size, code, dpi))
    response.add_etag()
    response.cache_control.no_cache = True
    response.vary.add("Accept")
    response.make_conditional(request)
    return response


def _nameplate(record: Record) -> Nameplate:
    catalogue = None
    if record.catalogue_version is not None:
        catalogue = service().store.catalogue_for(record.document, record.catalogue_version)
    reference = RecordReference(record.id, record.document_digest)
    try:
        return nameplate(rating_of(record.result), record.document, reference, catalogue)
    except NameplateRefused as error:
        raise Refusal("nameplate-refused", _sentence(error.reason)) from error
    except (NameplateMismatch, InvalidDocument) as error:  # an engine of before made the rating
        told = "the record cannot be lettered by the engine of today, which would not rate it as it was rated"
        raise Refusal("nameplate-refused", _sentence(f"{told}: {error}")) from error


def _answer(plate: Nameplate, form: str, size: Size, code: Symbology | None, dpi: int) -> Response:
    if form == "json":
        return as_json(plate.as_dict())
    try:
        drawn = _drawn(plate, form, size, code, dpi)
    except (DoesNotFit, InvalidSize) as error:
        raise wrong_parameters([fault(("query", "size"), "does-not-fit", str(error))]) from error
    except Unletterable as error:
        raise Refusal("nameplate-refused", _sentence(str(error))) from error
    return as_file(drawn, _FORMS[form], f"{plate.identity.designation} nameplate.{form}")


def _drawn(plate: Nameplate, form: str, size: Size, code: Symbology | None, dpi: int) -> bytes | str:
    if form == "svg":
        return render_svg(plate, size, code)
    if form == "pdf":
        return render_pdf(plate, size, code)
    return render_png(plate, size, code, dpi)


def _sentence(reason: str) -> str:
    return f"{reason[:1].upper()}{reason[1:]}."
