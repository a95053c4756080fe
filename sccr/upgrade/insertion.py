"""Panels with a class fuse and its holder added to a feeder: the other shapes that a plan may take.

A supply gets at most one. The fuse stands behind a feeder's device, since a disconnecting means stays ahead of fuses
(NFPA 70, 240.40); its ampere rating is not below the device's, and it is of the body that such a rating goes into.
"""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from itertools import count
from itertools import product
from typing import Any

from sccr.panel.component import Component
from sccr.panel.voltage import System
from sccr.schema.catalogue import Part
from sccr.ul508a.subject import Subject
from sccr.units import AMPERE
from sccr.units import MilliAmperes
from sccr.upgrade.candidates import is_fuse

#: The steps of ampere ratings at which the body of a class fuse changes [A] (UL 248 case sizes; from memory).
BODIES = (30, 60, 100, 200, 400, 600, 800, 1_200, 1_600, 2_000, 2_500, 3_000, 4_000, 5_000, 6_000)


@dataclass(frozen=True, slots=True)
class Shape:
    """A panel document with parts added: their ids, and the catalogue parts that each may be."""

    document: Mapping[str, Any]
    added: Mapping[str, tuple[Part, ...]]


def shapes(document: Mapping[str, Any], case: Subject, parts: Mapping[str, Sequence[Part]]) -> Iterator[Shape]:
    """Yield the panel as it is, then with feeder fuses added, one a supply at most. parts: those of each kind."""
    places = [(None, *_places(case, supply.id)) for supply in case.panel.supplies]
    names = _names(document)
    added_at = {place.id: next(names) for several in places for place in several if place is not None}
    for chosen in product(*places):
        changed = deepcopy(dict(document))
        added: dict[str, tuple[Part, ...]] = {}
        for place in chosen:
            if place is not None:
                _insert(changed, place, added_at[place.id])
                added |= dict(zip(added_at[place.id], _fitting(case, parts, place), strict=True))
        if all(added.values()):
            yield Shape(changed, added)


def _names(document: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield ids for a holder and its fuse that the document does not use."""
    used = {each["id"] for each in (*document["components"], *document["supplies"])}
    pairs = ((f"+XF{number}", f"+FC{number}") for number in count(1))
    return (pair for pair in pairs if not used.intersection(pair))


def _places(case: Subject, supply: str) -> Iterator[Component]:
    """Yield the feeder devices of a supply behind which a fuse may give credit: in no direct-current circuit."""
    for name in case.zones.get(supply, ()):
        device = case.one_line.components[name]
        if not device.kind.switches_poles or device.kind.carries_fuse or is_fuse(device) or device.amperes is None:
            continue
        fed = case.feeds.incoming[name]
        own = all(feed.origin == supply and feed.system is not System.DC for feed in fed)
        if own and not device.in_field and _feeds_branches(case, name):
            yield device


def _feeds_branches(case: Subject, name: str) -> bool:
    """Return whether a fuse behind a device would be feeder protection, and of no load the branch protection.

    Protective devices must stand behind it at its voltage, since no credit crosses a transformer, and no load without.
    """
    one_line, behind = case.one_line, case.one_line.load_side_of(name)
    ahead = {name} if name in one_line.protective else one_line.protection[name]
    loads = (n for n in behind.intersection(one_line.ends()) if not one_line.components[n].kind.measuring_tap)
    branches = any(case.same_zone(other, name) for other in behind & one_line.protective)
    return branches and not any(one_line.protection[load] & ahead for load in loads if load not in one_line.protective)


def _fitting(
    case: Subject, parts: Mapping[str, Sequence[Part]], device: Component
) -> tuple[tuple[Part, ...], tuple[Part, ...]]:
    """Return the holders that keep lower classes out, and the class fuses, of the size that a device asks for."""
    classes = {name for name, row in case.tables.fuse_classes.items() if row.read_as}
    rejecting = {name for name, row in case.tables.holders.items() if row.rejects_lower_classes}
    holders, fuses = parts.get("fuseholder", ()), parts.get("fuse", ())
    return (
        tuple(p for p in holders if _of_size(p, device) and p.fields.get("fuse_class") in rejecting),
        tuple(p for p in fuses if _of_size(p, device) and p.fields.get("fuse_class") in classes),
    )


def _of_size(part: Part, device: Component) -> bool:
    wanted, amperes, poles = device.amperes or 0, part.fields.get("ampere_rating", 0), part.fields.get("poles")
    enough = poles is None or device.poles is None or poles >= device.poles
    return bool(enough and wanted <= amperes <= _body(wanted))


def _body(amperes: MilliAmperes) -> MilliAmperes:
    return next((body * AMPERE for body in BODIES if body * AMPERE >= amperes), amperes)


def _insert(document: dict[str, Any], device: Component, names: tuple[str, str]) -> None:
    """Feed what a device feeds through a new holder and fuse."""
    holder, fuse = names
    for component in document["components"]:
        fed = component["fed_from"]
        moved = [fuse if source == device.id else source for source in ([fed] if isinstance(fed, str) else fed)]
        component["fed_from"] = moved[0] if isinstance(fed, str) else moved
    poles = {"poles": device.poles} if device.poles else {}
    document["components"] += [
        {"id": holder, "kind": "fuseholder", "fed_from": device.id},
        {"id": fuse, "kind": "fuse", "fed_from": holder, **poles},
    ]
