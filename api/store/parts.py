"""Parts of the catalogue as they are kept, and the parts that a panel names."""

from dataclasses import dataclass
from typing import Any

from sccr.schema.parts_named import parts_named as parts_named


@dataclass(frozen=True, slots=True)
class CatalogueVersion:
    """A state of the catalogue, which stays as it is: its number, digest and how many parts it has."""

    number: int
    digest: str
    parts: int
    created_at: str
    created_by: str
    note: str | None


@dataclass(frozen=True, slots=True)
class StoredPart:
    """A part as a version of the catalogue has it. `etag` is the digest of its document (SHA-256, RFC 8785).

    `version` is the version that brought the part in this state.
    """

    part: str
    document: dict[str, Any]
    etag: str
    version: int
