"""Ratings: a panel document comes in, its rating goes out; it is kept where that is asked for.

A document that names several editions has a rating by each of them, and none is kept.
"""

from collections.abc import Sequence
from http import HTTPStatus

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import NotFound
from werkzeug.http import quote_etag

from sccr import EditionRatings
from sccr import Rating
from sccr.many.outcome import covers_available
from sccr.many.outcome import limiting_kinds
from sccr.result import FULL

from .access import Role
from .access import audit
from .access import require
from .answers import JSON
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .idempotency import Settle
from .idempotency import once
from .idempotency import once_if_asked
from .kept_answers import KeptAnswer
from .kept_answers import kept_answers
from .kept_answers import key_of
from .operations import metrics
from .parameters import flag
from .parameters import parameters
from .rated import DERIVATION
from .rated import Json
from .rated import Rated
from .rated import present_method
from .rated import rate_document
from .rated import rate_document_by_editions
from .rated import rating_tag
from .rated import read_object
from .records import answer_rating
from .records import answer_record
from .service import service

blueprint = Blueprint("ratings", __name__, url_prefix="/v1")


@blueprint.post("/ratings")
@require(Role.RATE)
def create_rating() -> Response:
    """Rate the panel document that is the body, by each of its editions; with `record=true`, keep the one rating."""
    require_acceptable()
    asked = parameters({"record": flag, **DERIVATION})
    kept, extent = asked["record"], asked["derivation"] or FULL
    body = json_body(service().settings.max_body_bytes)

    def prepare_record() -> Settle:
        rated = rate_document(read_object(body))
        return lambda: _keep(rated, extent)

    return once(body, prepare_record) if kept else once_if_asked(body, lambda: _prepared(body, extent))


@blueprint.get("/ratings/<name:digest>")
@require(Role.RATE)
def get_rating(digest: str) -> Response:
    """Return what the document of a digest is worth now: from the records where nothing has changed, else rated anew.

    The tag is that of the present method, which is found without rating: who has the answer is told so by that alone.
    """
    require_acceptable()
    extent = parameters(DERIVATION)["derivation"] or FULL
    store = service().store
    document = store.document_of(digest)
    if document is None:
        raise NotFound("No rating of a document of this digest is kept. Post the document to /v1/ratings.")
    version = store.catalogue_version()
    method = present_method(document, None if version is None else version.digest)
    if method is None:
        return _revalidated(_answer(rate_document(document), extent))
    unchanged = _revalidated(_named(Response(), digest, method, extent))
    if unchanged.status_code == HTTPStatus.NOT_MODIFIED:
        return unchanged
    own = ("engine_version", "edition", "tables_digest", "catalogue_digest")
    record = store.record_for(digest, *(method[name] for name in own))
    if record is None:
        return _revalidated(_answer(rate_document(document), extent))
    response = answer_rating(record, extent)
    response.headers["Content-Location"] = f"/v1/records/{record.id}/rating"
    return response


def _prepared(body: bytes, extent: str) -> Settle:
    """Return what answers a document: the answer of before where nothing has changed since, else its rating."""
    version = service().store.catalogue_version()
    found = kept_answers().find(key_of(body, extent, None if version is None else version.digest))
    if found is not None:
        for counted in found.counted:
            metrics().answered_again(*counted)
        return lambda: _tagged(Response(found.content, content_type=JSON), found.tag)
    document = read_object(body)
    if "editions" in document:
        several = rate_document_by_editions(document)
        return lambda: _answered(body, _answer_several(several, extent), several.ratings, extent)
    rated = rate_document(document)
    return lambda: _answered(body, _answer(rated, extent), (rated.rating,), extent)


def _answered(body: bytes, response: Response, ratings: Sequence[Rating], extent: str) -> Response:
    """Return an answer once it is kept for who sends the same body again."""
    tag = response.get_etag()[0]
    assert tag is not None
    counted = tuple((own.status, covers_available(own), limiting_kinds(own)) for own in ratings)
    # Under the catalogue that it was rated with: since the store was asked, there may be another.
    key = key_of(body, extent, ratings[0].method.catalogue_digest)
    kept_answers().keep(key, KeptAnswer(response.get_data(), tag, counted))
    return response


def _keep(rated: Rated, extent: str) -> Response:
    record = service().store.append_record(rated.as_record())
    audit("record.append", record.id, document_digest=record.document_digest, status=record.status)
    return answer_record(record, 201, extent)


def _answer(rated: Rated, extent: str) -> Response:
    result = rated.rating.as_dict(extent)
    return _named(as_json(result), rated.rating.document_digest, result["method"], extent)


def _answer_several(several: EditionRatings, extent: str) -> Response:
    result = several.as_dict(extent)
    methods = [rating["method"] for rating in result["ratings"]]
    return _named(as_json(result), result["document_digest"], methods, extent)


def _named(response: Response, digest: str, method: Json | Sequence[Json], extent: str) -> Response:
    """Return an answer with what names it."""
    return _tagged(response, rating_tag(digest, method, extent))


def _tagged(response: Response, tag: str) -> Response:
    response.headers["ETag"] = quote_etag(tag)
    response.headers["Vary"] = "Accept"
    return response


def _revalidated(response: Response) -> Response:
    response.cache_control.no_cache = True
    response.make_conditional(request)
    return response
