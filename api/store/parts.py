"""Parts of the catalogue as they are kept, and the parts that a panel names."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any


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


def parts_named(document: Any) -> tuple[str, ...]:
    """Return the part numbers that a panel document names, each once, in order; of a wrong document, what is there."""
    return tuple(dict.fromkeys(_named(document)))


def _named(document: Any) -> Iterator[str]:
    for component in _objects(document, "components"):
        yield from _part(component)
    for supply in _objects(document, "supplies"):
        yield from _part(supply.get("upstream_protection"))


def _objects(document: Any, name: str) -> Iterator[dict[str, Any]]:
    members = document.get(name) if isinstance(document, dict) else None
    if isinstance(members, list):
        yield from (each for each in members if isinstance(each, dict))


def _part(owner: Any) -> Iterator[str]:
    if isinstance(owner, dict) and isinstance(owner.get("part"), str):
        yield owner["part"]
