"""Tables of components, such as parts lists: what a panel document would hold of them; nothing is kept."""

from collections.abc import Sequence
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import UnsupportedMediaType

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.schema.exchange import CSV
from sccr.schema.exchange import XLSX
from sccr.schema.exchange.component_table import is_column
from sccr.schema.exchange.component_table import read_component_table
from sccr.schema.strict_json import decode

from .access import Role
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .body import whole_body
from .operations import in_time
from .parameters import Misread
from .parameters import parameters
from .service import service

blueprint = Blueprint("component_tables", __name__, url_prefix="/v1")

_FORMS: Final = (CSV, XLSX)


@blueprint.post("/component-tables")
@require(Role.RATE)
def read_table_of_components() -> Response:
    """Return the components that a table holds, and what each of its columns was taken for."""
    require_acceptable()
    columns = parameters({"columns": _columns})["columns"]
    media_type = request.mimetype
    if media_type not in _FORMS:
        said = f"{media_type!r}" if media_type else "nothing"
        raise UnsupportedMediaType(f"Content-Type says {said}; send {', '.join(_FORMS)}.")
    body = whole_body(service().settings.max_body_bytes)
    table = in_time(service().settings.work_seconds, lambda: read_component_table(body, media_type, columns))
    return as_json(table.as_dict())


def _columns(value: str) -> Sequence[str | None]:
    """Return what the columns are said to be: a list in JSON, null for one that is left out."""
    told = 'write a list in JSON with a name or null for each column, such as ["id",null,"kind"]'
    try:
        names: Any = decode(value.encode("utf-8", "surrogatepass"))
    except (InvalidDocument, MalformedJson) as error:
        raise Misread("not-a-list", told) from error
    if not isinstance(names, list) or not all(name is None or isinstance(name, str) for name in names):
        raise Misread("not-a-list", told)
    unknown = next((name for name in names if name is not None and not is_column(name)), None)
    if unknown is not None:
        raise Misread("unknown-column", f"{unknown[:64]!r} is no column of a table of components")
    return names
