"""The fast lane: well-formed panel documents, read without marshmallow.

It takes only what it knows for certain to be right, and says nothing of the rest, which goes the way of the contract
(`load`). The members are read by tables made from what the schemas declare (`quick`); how they stand together is asked
of the same functions as there, or in a short form of the same question, which a document may fail and be right.
"""

from collections.abc import Mapping
from collections.abc import Sequence
from typing import Any

from sccr.schema.catalogue import Catalogue
from sccr.schema.component import completed
from sccr.schema.component import part_faults
from sccr.schema.component import upstream_id
from sccr.schema.document import quick_document
from sccr.schema.loops import loops
from sccr.schema.marking import marking_faults
from sccr.schema.quick import UNCERTAIN
from sccr.schema.supply import supply_faults

Members = Mapping[str, Any]


def quick_members(written: Any, catalogue: Catalogue | None) -> tuple[Members, list[Members]] | None:
    """Return the members of a right document and its components completed, or None where it is not certain."""
    try:
        own = quick_document(written)
    except UNCERTAIN:
        return None
    supplies, components = own["supplies"], own["components"]
    for raw, supply in zip(written["supplies"], supplies, strict=True):
        if any(supply_faults((), raw, supply, catalogue)):
            return None
    whole = _completed(components, catalogue)
    if whole is None or not _fed(supplies, whole):
        return None
    return own, whole


def _completed(components: Sequence[Members], catalogue: Catalogue | None) -> list[Members] | None:
    """Return each component completed, where its part is known and it has nothing that its kind cannot have."""
    completed_ones = []
    for own in components:
        whole = own
        if catalogue is not None and "part" in own:
            if any(part_faults(own, catalogue)):
                return None
            whole = completed(own, catalogue)
        if "kind" not in whole or marking_faults(whole, whole):
            return None
        completed_ones.append(whole)
    return completed_ones


def _fed(supplies: Sequence[Members], components: Sequence[Members]) -> bool:
    """Whether each name stands once, and each component is fed from what is there, named once, and not from itself."""
    places = _places(supplies, components)
    if places is None:
        return False
    in_order = True
    for number, component in enumerate(components):
        names = component["fed_from"]
        for name in names:
            place = places.get(name)
            if place is None:
                return False
            if place >= number:
                in_order = False
        if len(names) > 1 and not _distinct(names):
            return False
    return in_order or not any(loops(_parents(places, components)))  # in order, each is behind what feeds it: no loop


def _places(supplies: Sequence[Members], components: Sequence[Members]) -> dict[str, int] | None:
    """Return the number of the component that each name of a source stands for, -1 for a supply."""
    places = {supply["id"]: -1 for supply in supplies}
    places.update({component["id"]: number for number, component in enumerate(components)})
    if len(places) < len(supplies) + len(components) or any(upstream_id(each["id"]) in places for each in supplies):
        return None
    transformers = {each["id"]: number for number, each in enumerate(components) if each["kind"].transformer}
    if transformers and any(name.rpartition("/")[0] in transformers for name in places if "/" in name):
        return None  # perhaps the name of a winding
    for name, number in transformers.items():
        windings = len(components[number]["transformer"].secondaries) if "transformer" in components[number] else 0
        if windings != 1:
            del places[name]  # which names no source
        places.update({f"{name}/{winding}": number for winding in range(1, windings + 1)})
    return places


def _distinct(names: Sequence[str]) -> bool:
    """Whether several names are certainly those of different sources: a winding that is the only one has two names."""
    return len(set(names)) == len(names) and not any(f"{name}/1" in names for name in names)


def _parents(places: Mapping[str, int], components: Sequence[Members]) -> list[list[int]]:
    named = ([places[name] for name in each["fed_from"]] for each in components)
    return [[place for place in sources if place >= 0] for sources in named]
