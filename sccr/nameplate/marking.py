"""What a standard asks of a nameplate: which items, by which names, by which clause; read once from `markings.csv`."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any
from typing import Final

from sccr.rated_current import RatedCurrent

#: What a clause that is known from memory alone is followed by.
FROM_MEMORY: Final = " [clause from memory]"
_YES: Final = "yes"
#: The standard whose nameplates are as they are without a word about clauses.
_TACIT: Final = "UL 508A"


@dataclass(frozen=True, slots=True)
class Item:
    """An item of a nameplate: its name on the plate, whether it must stand there, and by which clause.

    asked: "yes" where the plate has room for it and it is told to be missing; "stated" where it stands only if stated.
    text: what stands there whatever the panel, or how it is written.
    """

    item: str
    label: str
    asked: str
    text: str
    clause: str
    confidence: str
    note: str

    def as_dict(self) -> dict[str, Any]:
        """Return the item with its clause as it is cited."""
        from_memory = FROM_MEMORY if self.confidence == "memory" else ""
        fields = {"item": self.item, "label": self.label or None, "clause": f"{self.clause}{from_memory}"}
        return {**fields, "note": self.note or None}


@dataclass(frozen=True, slots=True)
class Marking:
    """The items of the nameplates of a standard, by name."""

    standard: str
    items: Mapping[str, Item]

    @property
    def tacit(self) -> bool:
        """Whether the fields of a nameplate go without their clauses."""
        return self.standard == _TACIT

    def has(self, item: str) -> bool:
        """Return whether an item stands on the plate at all."""
        return item in self.items

    def asks(self, item: str) -> bool:
        """Return whether the plate must carry an item."""
        return item in self.items and self.items[item].asked == _YES

    def label(self, item: str) -> str:
        """Return the name of an item on the plate."""
        return self.items[item].label

    def text(self, item: str) -> str:
        """Return what stands for an item whatever the panel, or how it is written."""
        return self.items[item].text if item in self.items else ""

    def label_of_rating(self, rating: RatedCurrent) -> str:
        """Return the name of a rating: where the standard has one for its symbol, that."""
        own = f"rating_{rating.designation.lower()}"
        return self.label(own if own in self.items else "rating")


def marking(edition: str) -> Marking:
    """Return what an edition asks of a nameplate; of one that no table knows, what UL 508A asks."""
    standard, _, _ = edition.rpartition(":")
    known = _markings()
    return known.get(standard, known[_TACIT])


@cache
def _markings() -> dict[str, Marking]:
    text = resources.files("sccr.nameplate").joinpath("markings.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    items: dict[str, dict[str, Item]] = {}
    for row in rows:
        standard = row.pop("standard")
        items.setdefault(standard, {})[row["item"]] = Item(**row)
    return {standard: Marking(standard, found) for standard, found in items.items()}
