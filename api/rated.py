"""A panel document that was sent, rated with the catalogue of the store."""

import hashlib
import json
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from typing import Final

from sccr import EditionRatings
from sccr import Rating
from sccr.editions import DEFAULT_EDITION
from sccr.editions import editions
from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.result import EXTENTS
from sccr.result import FULL
from sccr.result import Method
from sccr.schema.strict_json import decode
from sccr.version import ENGINE_VERSION

from .access import caller
from .operations import rate_editions_in_time
from .operations import rate_in_time
from .parameters import Reader
from .parameters import one_of
from .service import service
from .store import NewRecord

Json = Mapping[str, Any]

#: The parameter that says how much of the derivation is answered; all of it without one.
DERIVATION: Final[Mapping[str, Reader]] = {"derivation": one_of(EXTENTS)}


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
        from sccr.schema.strict_schema import NO_OBJECT  # brings marshmallow, which no start need wait for

        raise InvalidDocument([Problem("", NO_OBJECT.code, str(NO_OBJECT))])
    return value


def rate_document(document: dict[str, Any]) -> Rated:
    """Return the rating of a document that was read. Raises what `sccr.rate` raises, and Refusal for lack of time."""
    catalogue = service().store.catalogue_for(document)
    rating = rate_in_time(document, catalogue)
    return Rated(document, rating, None if catalogue is None else catalogue.version)


def rate_document_by_editions(document: dict[str, Any]) -> EditionRatings:
    """Return the ratings of a document that was read, by each edition that it names. Raises as `rate_document` does."""
    return rate_editions_in_time(document, service().store.catalogue_for(document))


def rating_tag(document_digest: str, method: Json | Sequence[Json], extent: str = FULL) -> str:
    """Return what names a rating, or several in their order: the digest of the document and of all that rated it.

    Two answers with the same tag are the same, byte for byte; a new edition, engine, table or catalogue changes the
    tag though the document stays, and so does another extent of the derivation.
    """
    told = [document_digest, method] if extent == FULL else [document_digest, method, extent]
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()


def present_method(document: Mapping[str, Any], catalogue_digest: str | None) -> dict[str, Any] | None:
    """Return by what a document would be rated now, as `Method.as_dict` has it; None where its edition is unknown."""
    rules = editions().get(document.get("edition", DEFAULT_EDITION))
    if rules is None:
        return None
    return Method(rules.standard, rules.id, ENGINE_VERSION, rules.tables_digest(), catalogue_digest).as_dict()
