"""A page of a longer list."""

from collections.abc import Callable
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic
from typing import TypeVar

Item = TypeVar("Item")


@dataclass(frozen=True, slots=True)
class Page(Generic[Item]):
    """Some items, and the place after which the next page begins; None where this is the last."""

    items: tuple[Item, ...]
    next: str | None


def page_of(found: Sequence[Item], limit: int, place: Callable[[Item], str]) -> Page[Item]:
    """Return the page of what was found by asking for one item more than `limit`."""
    items = tuple(found[:limit])
    return Page(items, place(items[-1]) if len(found) > limit and items else None)
