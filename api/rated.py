"""A panel document that was sent, rated with the catalogue of the store."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sccr import Rating
from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.schema.strict_json import decode

from .access import caller
from .operations import rate_in_time
from .service import service
from .store import NewRecord


@dataclass(frozen=True, slots=True)
class Rated:
    """A document, its rating, and the version of the catalogue that it was rated with (None: there was none)."""

    document: dict[str, Any]
    rating: Rating
    catalogue_version: int | None

    def as_record(self) -> NewRecord:
        """Return it as a record that the caller of this request asks for."""
        return NewRecord(self.document, self.rating.as_dict(), caller().signature, self.catalogue_version)


def read_object(body: bytes) -> dict[str, Any]:
    """Return the object of JSON that a body is. Raises MalformedJson, and InvalidDocument where it is another value."""
    value = decode(body)
    if not isinstance(value, dict):
        raise InvalidDocument([Problem("", "not-an-object", "is not an object; write it in braces, such as { … }")])
    return value


def rate_document(document: dict[str, Any]) -> Rated:
    """Return the rating of a document that was read. Raises what `sccr.rate` raises, and Refusal for lack of time."""
    catalogue = service().store.catalogue_for(document)
    rating = rate_in_time(document, catalogue)
    return Rated(document, rating, None if catalogue is None else catalogue.version)


def rating_tag(document_digest: str, method: Mapping[str, Any]) -> str:
    """Return what names a rating: the digest of the document and of all that it was rated by.

    Two answers with the same tag are the same, byte for byte; a new edition, engine, table or catalogue changes the
    tag though the document stays. It names the answer for whoever keeps it: a POST is never answered with 304.
    """
    return hashlib.sha256(json.dumps([document_digest, method], sort_keys=True).encode()).hexdigest()
