"""The rating as JSON, byte for byte the same for the same rating."""

import json

from sccr.result import Rating


def as_json(rating: Rating, indent: int | None = None) -> str:
    """Return the rating as JSON text, its fields in the order of the contract."""
    separators = (",", ":") if indent is None else None
    return json.dumps(rating.as_dict(), ensure_ascii=False, allow_nan=False, indent=indent, separators=separators)
