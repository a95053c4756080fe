"""From what was read of a component, and of its part, to the component."""

from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any
from typing import Final

from sccr.panel.component import Component
from sccr.panel.kinds import kinds
from sccr.schema.catalogue import Catalogue
from sccr.schema.making import maker
from sccr.schema.marking import iec_faults
from sccr.schema.marking import marking_faults
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import Path

NOTHING: Final[Mapping[str, Any]] = {}

#: What the panel calls otherwise than a document does.
_RENAMED: Final = {
    "control": "circuit",
    "amperes": "ampere_rating",
    "voltage": "voltage_rating",
    "power": "horsepower",
    "in_field": "location",
}

_component: Final = maker(Component, _RENAMED)


def completed(own: Mapping[str, Any], catalogue: Catalogue | None) -> dict[str, Any]:
    """Return what a component states, and what it leaves out as its part in the catalogue has it."""
    part = catalogue.lookup(own["part"]) if catalogue is not None and "part" in own else None
    return {**part.fields, **own} if part is not None else {**own}


def part_faults(own: Mapping[str, Any], catalogue: Catalogue | None) -> Iterator[tuple[str, Fault]]:
    """Yield what is wrong with the part that a component names."""
    if catalogue is None or "part" not in own:
        return
    part = catalogue.lookup(own["part"])
    if part is None:
        yield "part", Fault("unknown-part", "is not in the catalogue", own["part"], catalogue.numbers, 3)
    elif own.get("kind", part.kind) != part.kind:
        told = f"is not what the catalogue has for {part.part}: {part.kind.name}; correct the kind or the part"
        yield "kind", Fault("contradiction", told)


def component_faults(
    raw: Mapping[str, Any], own: Mapping[str, Any], whole: Mapping[str, Any], catalogue: Catalogue | None
) -> Iterator[tuple[str, Fault]]:
    """Yield what is wrong with the members of a component together: as written, as far as read, and completed.

    A part that the catalogue lacks has been told as such: its kind is not asked for besides.
    """
    looked_up = catalogue is not None and "part" in own
    if "kind" not in whole and "kind" not in raw and not looked_up:
        remedy = "is missing: write it, or name a part of the catalogue" if "part" not in raw else "is missing"
        yield "kind", Fault("required", remedy)
    stated = whole if len(own) == len(raw) else {**whole, **raw}
    for name, fault in marking_faults(whole, stated):
        yield name if name in raw else "part", fault


def component(own: Mapping[str, Any], whole: Mapping[str, Any]) -> Component:
    """Return the component: what it states itself, and that completed."""
    members = {**whole, "location_stated": "location" in own}
    if len(whole) > len(own):
        members["from_catalogue"] = frozenset(whole.keys() - own.keys())
    return _component(members)


def upstream_own(supply: Mapping[str, Any]) -> dict[str, Any]:
    """Return the upstream protection of a supply with its device as the kind of a component."""
    own = dict(supply["upstream_protection"])
    device = own.pop("device", None)
    return own if device is None else {**own, "kind": kinds()[device]}


def upstream_faults(path: Path, supply: Mapping[str, Any], catalogue: Catalogue | None) -> Iterator[Found]:
    """Yield what is wrong with the upstream protection of a supply, apart from its single members."""
    own = upstream_own(supply)
    for name, fault in part_faults(own, catalogue):
        yield Found((*path, "device" if name == "kind" else name), fault)
    for name, fault in _upstream_marking_faults(own):
        yield Found((*path, name), fault)


def _upstream_marking_faults(own: Mapping[str, Any]) -> Iterator[tuple[str, Fault]]:
    """Yield what the kind of an upstream device cannot have, and what a fuse must have."""
    kind = own.get("kind")
    if kind is None:
        return
    yield from iec_faults(kind, own)
    if kind.name != "fuse":
        if "utilization_category" in own:
            yield "utilization_category", Fault("not-applicable", f"is not marked on a {kind.label}; leave it out")
    elif not own.keys() & {"fuse_class", "utilization_category", "part"}:
        told = "is missing: a fuse is told by its class, its utilization_category or its part"
        yield "fuse_class", Fault("required", told)


def upstream_component(supply: Mapping[str, Any], catalogue: Catalogue | None) -> Component:
    """Return the upstream protection of a supply as the component ahead of it."""
    own = {**upstream_own(supply), "id": upstream_id(supply["id"]), "fed_from": ()}
    return component(own, completed(own, catalogue))


def upstream_id(supply: str) -> str:
    """Return the id of the upstream protection of a supply."""
    return f"{supply}:upstream"
