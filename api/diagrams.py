"""The one-line diagram of a panel document that is sent; nothing is kept."""

from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.schema.strict_json import decode

from .access import Role
from .access import require
from .answers import require_acceptable
from .body import json_body
from .forms import as_file
from .operations import in_time
from .parameters import Misread
from .parameters import one_of
from .parameters import parameters
from .rated import rate_document
from .rated import read_object
from .service import service

blueprint = Blueprint("diagrams", __name__, url_prefix="/v1")

SVG: Final = "image/svg+xml"


@blueprint.post("/diagrams")
@require(Role.RATE)
def draw_diagram() -> Response:
    """Rate the panel document that is the body, and draw its one-line diagram."""
    from sccr.report.diagram.as_svg import as_svg  # heavy: with the first drawing, and before any work in time
    from sccr.report.diagram.symbols import Symbols

    require_acceptable(SVG)
    asked = parameters({"symbols": one_of({symbols.value: symbols for symbols in Symbols}), "folded": _names})
    rated = rate_document(read_object(json_body(service().settings.max_body_bytes)))
    symbols, folded = asked["symbols"] or Symbols.ANSI, asked["folded"] or ()

    def draw() -> str:
        return as_svg(rated.rating, rated.document, symbols=symbols, folded_at=folded)

    drawn = in_time(service().settings.work_seconds, draw)
    return as_file(drawn, SVG, f"{rated.document['panel']['designation']} one-line diagram.svg")


def _names(value: str) -> frozenset[str]:
    """Return the ids of a list in JSON: an id may hold any sign that could part it from the next."""
    told = 'write a list of ids in JSON, such as ["-FC1","-FC2"]'
    try:
        names: Any = decode(value.encode("utf-8", "surrogatepass"))
    except (InvalidDocument, MalformedJson) as error:
        raise Misread("not-a-list", told) from error
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise Misread("not-a-list", told)
    return frozenset(names)
