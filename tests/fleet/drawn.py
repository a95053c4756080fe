"""Fleets and changed catalogues, drawn: demo panels that name parts, the demo catalogue with things done to it."""

import json
from collections.abc import Iterator
from copy import deepcopy
from random import Random
from typing import Any

from api.store import Delete
from api.store import NewRecord
from api.store import Put
from api.store import Store
from sccr import rate
from tests.store.conftest import CATALOGUE
from tests.store.conftest import PANELS

PARTS: list[dict[str, Any]] = json.loads(CATALOGUE.read_bytes())["parts"]
DOCUMENTS = [
    document
    for document in (json.loads(path.read_bytes()) for path in PANELS)
    if any("part" in each for each in document["components"])
]
CURRENTS = ("1 kA", "5 kA", "10 kA", "14 kA", "18 kA", "22 kA", "65 kA", "100 kA")


def put(store: Store, document: dict[str, Any], order: str, designation: str, **method: str) -> str:
    """Store a panel as the next revision, rated by the newest catalogue; `method`: as another engine would say."""
    document = deepcopy(document)
    document["panel"] = {"designation": designation}
    catalogue = store.catalogue_for(document)
    result = rate(document, catalogue).as_dict()
    result["method"] |= method
    version = None if catalogue is None else catalogue.version
    return store.put_revision(order, designation, NewRecord(document, result, "ERP", version)).record_id


def fill(store: Store, random: Random, panels: int = 24) -> None:
    """Fill a store: revisions of panels, rated by several versions of the catalogue, some of them shipped."""
    for number in range(3):  # before there is a catalogue: a part is a label then
        put(store, random.choice(DOCUMENTS_WITHOUT), f"TO-{number}", "OLD-1")
    store.apply_changes([Put(part) for part in PARTS], "desk")
    for number in range(panels):
        order, designation = f"TO-{random.randrange(panels)}", f"P-{random.randrange(3)}"
        revision = put(store, random.choice(DOCUMENTS), order, designation)
        if random.random() < 0.3:
            record = store.record(revision)
            assert record is not None and record.revision is not None
            store.mark_shipped(order, designation, record.revision, "dock")
        if number % 8 == 7:
            store.apply_changes([Put(changed_part(random, random.choice(PARTS)))], "desk")


def changed_part(random: Random, part: dict[str, Any]) -> dict[str, Any]:
    """Return a part with other words, or other currents."""
    part = deepcopy(part)
    ratings = [each for name in ("short_circuit_ratings", "interrupting_ratings") for each in part.get(name, ())]
    if not ratings or random.random() < 0.2:
        return {**part, "description": f"described anew, {random.random()}"}
    for rating in ratings:
        rating["current"] = random.choice(CURRENTS)
    return part


def changed_catalogue(random: Random, parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return a catalogue of which some parts are changed, gone or new."""
    left = [changed_part(random, part) if random.random() < 0.08 else part for part in parts]
    left = [part for part in left if random.random() > 0.02]
    return [*left, {"part": f"NEW-{random.randrange(1000)}", "kind": "contactor"}]


def stored_parts(store: Store) -> list[dict[str, Any]]:
    return [each.document for each in store.every_part()]


def deletions(store: Store, parts: list[dict[str, Any]]) -> list[Put | Delete]:
    """Return what makes these the parts of the stored catalogue."""
    kept = {part["part"] for part in parts}
    gone = [each["part"] for each in stored_parts(store) if each["part"] not in kept]
    return [*map(Put, parts), *map(Delete, gone)]


def _without_parts() -> Iterator[dict[str, Any]]:
    for path in PANELS:
        document = json.loads(path.read_bytes())
        if not any("part" in each for each in document["components"]):
            yield document
            labelled = deepcopy(document)
            labelled["components"][0]["part"] = PARTS[0]["part"]
            yield labelled


#: Panels that can be rated without a catalogue: some name no part, in others one is a mere label.
DOCUMENTS_WITHOUT = list(_without_parts())
