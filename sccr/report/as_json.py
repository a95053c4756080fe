"""The rating as JSON, byte for byte the same for the same rating."""

import json

from sccr.result import FULL
from sccr.result import Rating
from sccr.side_by_side import EditionRatings


def as_json(rating: Rating | EditionRatings, indent: int | None = None, derivation: str = FULL) -> str:
    """Return a rating, or those by several editions, as JSON text, its fields in the order of the contract.

    derivation: full, short or none.
    """
    separators = (",", ":") if indent is None else None
    written = rating.as_dict(derivation)
    return json.dumps(written, ensure_ascii=False, allow_nan=False, indent=indent, separators=separators)
