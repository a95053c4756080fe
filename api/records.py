"""Records: every rating that is kept, as it was given; none ever changes."""

import re
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import NotFound

from sccr.result import FULL

from .access import Role
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .paging import asked_page
from .parameters import Misread
from .parameters import parameters
from .parameters import text
from .rated import DERIVATION
from .rated import rating_tag
from .service import service
from .store import Record
from .stored_ratings import with_derivation

blueprint = Blueprint("records", __name__, url_prefix="/v1/records")

_DIGEST: Final = re.compile(r"[0-9a-f]{64}")


def _digest(value: str) -> str:
    if not _DIGEST.fullmatch(value):
        raise Misread("not-a-digest", "is no SHA-256; write its 64 hexadecimal digits, in lower case")
    return value


_FILTERS: Final = {"document_digest": _digest, "order": text, "designation": text, "part": text}


@blueprint.get("")
@require(Role.READ)
def list_records() -> Response:
    """List the records, the oldest first: all, or those of a document, an order, a panel, a part."""
    require_acceptable()
    asked = asked_page(_FILTERS)
    page = service().store.records(asked.after, asked.limit, **asked.filters)
    return asked.page("records", [summary_of(record) for record in page.items], page.next)


@blueprint.get("/<name:record>")
@require(Role.READ)
def get_record(record: str) -> Response:
    """Return a record: the document, the rating as it was given, by what, for whom and when."""
    require_acceptable()
    extent = parameters(DERIVATION)["derivation"] or FULL
    response = answer_record(_record(record), extent=extent)
    response.make_conditional(request)
    return response


@blueprint.get("/<name:record>/rating")
@require(Role.READ)
def get_record_rating(record: str) -> Response:
    """Return the rating of a record, as it was given."""
    require_acceptable()
    extent = parameters(DERIVATION)["derivation"] or FULL
    return answer_rating(_record(record), extent)


@blueprint.get("/<name:record>/nameplate")
@require(Role.READ)
def get_record_nameplate(record: str) -> Response:
    """Return the nameplate of a record."""
    from . import plates  # what draws is heavy: the first who asks for a drawing waits for it, not every start

    asked = parameters(plates.PARAMETERS)
    return plates.answer_nameplate(_record(record), asked)


@blueprint.get("/<name:record>/report")
@require(Role.READ)
def get_record_report(record: str) -> Response:
    """Return the report of a record."""
    from . import reports  # heavy, as are nameplates

    asked = parameters(reports.PARAMETERS)
    return reports.answer_report(_record(record), asked)


def answer_record(record: Record, status: int = 200, extent: str = FULL) -> Response:
    """Return a record as an answer, named by its digest; with less of its derivation it is named otherwise."""
    result = with_derivation(record.result, extent)
    response = as_json({**summary_of(record), "document": record.document, "result": result}, status)
    response.set_etag(record.digest if extent == FULL else f"{record.digest}-{extent}")
    response.cache_control.no_cache = True
    response.vary.add("Accept")
    if status == 201:
        response.headers["Location"] = f"/v1/records/{record.id}"
    return response


def answer_rating(record: Record, extent: str) -> Response:
    """Return the rating of a record as an answer, with so much of its derivation, or 304 to who has it."""
    response = as_json(with_derivation(record.result, extent))
    response.set_etag(rating_tag(record.document_digest, record.result["method"], extent))
    response.cache_control.no_cache = True
    response.vary.add("Accept")
    response.make_conditional(request)
    return response


def summary_of(record: Record) -> dict[str, Any]:
    """Return a record without its document and its rating, as a list shows it."""
    return {
        "id": record.id,
        "digest": record.digest,
        "status": record.status,
        "current_amperes": record.current_amperes,
        "document_digest": record.document_digest,
        "engine_version": record.engine_version,
        "edition": record.edition,
        "tables_digest": record.tables_digest,
        "catalogue_digest": record.catalogue_digest,
        "catalogue_version": record.catalogue_version,
        "asked_by": record.asked_by,
        "asked_at": record.asked_at,
        "order": record.order,
        "designation": record.designation,
        "revision": record.revision,
    }


def _record(id: str) -> Record:
    found = service().store.record(id)
    if found is None:
        raise NotFound("There is no record of this id.")
    return found
