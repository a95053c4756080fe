"""Ratings: a panel document comes in, its rating goes out; it is kept where that is asked for."""

from flask import Blueprint
from flask import Response

from .access import Role
from .access import audit
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .idempotency import Settle
from .idempotency import once
from .idempotency import once_if_asked
from .parameters import flag
from .parameters import parameters
from .rated import Rated
from .rated import rate_document
from .rated import rating_tag
from .rated import read_object
from .records import answer_record
from .service import service

blueprint = Blueprint("ratings", __name__, url_prefix="/v1")


@blueprint.post("/ratings")
@require(Role.RATE)
def create_rating() -> Response:
    """Rate the panel document that is the body; with `record=true`, keep the rating as a record."""
    require_acceptable()
    kept = parameters({"record": flag})["record"]
    body = json_body(service().settings.max_body_bytes)

    def prepare() -> Settle:
        rated = rate_document(read_object(body))
        return lambda: _keep(rated) if kept else _answer(rated)

    return once(body, prepare) if kept else once_if_asked(body, prepare)


def _keep(rated: Rated) -> Response:
    record = service().store.append_record(rated.as_record())
    audit("record.append", record.id, document_digest=record.document_digest, status=record.status)
    return answer_record(record, 201)


def _answer(rated: Rated) -> Response:
    result = rated.rating.as_dict()
    response = as_json(result)
    response.set_etag(rating_tag(rated.rating.document_digest, result["method"]))
    response.vary.add("Accept")
    return response
