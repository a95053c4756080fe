"""The digest of a document: SHA-256 of its canonical form (RFC 8785)."""

import json
from collections.abc import Mapping
from hashlib import sha256
from typing import Any
from typing import Final

import rfc8785

#: The canonical form of whatever has no floats and only ASCII names, ten times as fast as the general one.
_PLAIN: Final = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def digest_of(document: Any) -> str:
    """Return the SHA-256 of the canonical form of any document, as hexadecimal digits."""
    return sha256(rfc8785.dumps(document)).hexdigest()


def digest_of_panel(document: Mapping[str, Any]) -> str:
    """Return the same digest of a panel document that has been read without a fault.

    Every name in it is then a field's and every number an integer, except in the description of a source.
    """
    if any("source" in supply for supply in document["supplies"]):
        return digest_of(document)
    return sha256(_PLAIN.encode(document).encode()).hexdigest()
