"""Ratings: a panel document comes in, its rating goes out; nothing is kept."""

import hashlib
import json

from flask import Blueprint
from flask import Response

from sccr import Rating
from sccr import rate

from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .service import service

blueprint = Blueprint("ratings", __name__, url_prefix="/v1")


@blueprint.post("/ratings")
def create_rating() -> Response:
    """Rate the panel document that is the body."""
    require_acceptable()
    rating = rate(json_body(service().settings.max_body_bytes), service().catalogue)
    response = as_json(rating.as_dict())
    response.set_etag(rating_tag(rating))
    response.vary.add("Accept")
    return response


def rating_tag(rating: Rating) -> str:
    """Return what names a rating: the digest of the document and of all that it was rated by.

    Two answers with the same tag are the same, byte for byte; a new edition, engine, table or catalogue changes the
    tag though the document stays. It names the answer for whoever keeps it: a POST is never answered with 304.
    """
    rested_on = [rating.document_digest, rating.method.as_dict()]
    return hashlib.sha256(json.dumps(rested_on, sort_keys=True).encode()).hexdigest()
