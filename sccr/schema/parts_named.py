"""The parts that a panel document names."""

from collections.abc import Iterator
from typing import Any


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
