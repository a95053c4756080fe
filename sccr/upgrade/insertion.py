"""Panels with a class fuse and its holder added to the feeder of a supply: the other shapes that a plan may take."""

from collections.abc import Iterator
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from sccr.panel.component import Component
from sccr.panel.panel import Panel
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part
from sccr.ul508a.tables import tables


@dataclass(frozen=True, slots=True)
class Shape:
    """A panel document with parts added: their ids, and the catalogue parts that each may be."""

    document: Mapping[str, Any]
    added: Mapping[str, tuple[Part, ...]]


def shapes(document: Mapping[str, Any], panel: Panel, catalogue: Catalogue) -> Iterator[Shape]:
    """Yield the panel as it is, then with feeder fuses added to some of its supplies."""
    places = [place for supply in panel.supplies if (place := _place(panel, supply.id)) is not None]
    for count in range(len(places) + 1):
        for chosen in combinations(places, count):
            changed = deepcopy(dict(document))
            added: dict[str, tuple[Part, ...]] = {}
            for number, place in enumerate(chosen, start=1):
                found = _fitting(catalogue, place.amperes or 0)
                if not found[0] or not found[1]:
                    break
                holder, fuse = _insert(changed, place, number)
                added |= {holder: found[0], fuse: found[1]}
            else:
                yield Shape(changed, added)


def _place(panel: Panel, supply: str) -> Component | None:
    """Return the main of a supply, behind which fuses may stand: the one device that everything is fed through.

    A disconnecting means stays ahead of the fuses (NFPA 70, 240.40).
    """
    first = [c for c in panel.components if supply in c.fed_from]
    if len(first) != 1 or first[0].fed_from != (supply,) or first[0].amperes is None:
        return None
    return first[0] if first[0].kind.switches_poles and not first[0].kind.carries_fuse else None


def _fitting(catalogue: Catalogue, amperes: int) -> tuple[tuple[Part, ...], tuple[Part, ...]]:
    """Return holders and class fuses of at least the main's amperes [mA]."""
    classes = {name for name, row in tables().fuse_classes.items() if row.read_as}
    parts = [p for p in catalogue.parts.values() if p.fields.get("ampere_rating", 0) >= amperes]
    fuses = tuple(p for p in parts if p.kind.name == "fuse" and p.fields.get("fuse_class") in classes)
    holders = tuple(p for p in parts if p.kind.name == "fuseholder" and _rejects(p.fields.get("fuse_class")))
    return holders, fuses


def _rejects(holder_class: Any) -> bool:
    row = tables().holders.get(holder_class or "")
    return row is not None and row.rejects_lower_classes


def _insert(document: dict[str, Any], main: Component, number: int) -> tuple[str, str]:
    """Feed what the main feeds through a new holder and fuse, and return their ids."""
    holder, fuse = f"+XF{number}", f"+FC{number}"
    for component in document["components"]:
        fed = component["fed_from"]
        sources = [fed] if isinstance(fed, str) else fed
        moved = [fuse if source == main.id else source for source in sources]
        component["fed_from"] = moved[0] if isinstance(fed, str) else moved
    document["components"] += [
        {"id": holder, "kind": "fuseholder", "fed_from": main.id},
        {"id": fuse, "kind": "fuse", "fed_from": holder},
    ]
    return holder, fuse
