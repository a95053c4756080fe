"""Right documents, and the same with something small the matter, drawn by seed: thousands a second."""

import json
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

from tests.oracle.panels import random_panel
from tests.schema.iec_fields import with_iec_fields

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"
PANELS = {path.stem: path.read_text("utf-8") for path in sorted((FIXTURES / "panels").glob("*.json"))}
Spot = tuple[str | int, ...]

#: What stands where something else belongs: wrong types, near misses, lookalikes, and values right elsewhere.
INTRUDERS: tuple[Any, ...] = (
    *(None, True, False, 0, 1, 3, -1, 1.0, 3.0, 1.5, 2**53, 2**64, 10**30, float("nan"), float("inf")),
    *("", " ", "480 V ", " 480 V", "480 V\n", "480  V", "480\u00a0V", "\uff14\uff18\uff10 V", "65 \u212bA", "65 kА"),
    *("65 kA", "65", "65kA", "65.000 A", "0 A", "1e3 A", "480Y/277 V", "480y/277 V", "12 ft", "7.5 hp", "2.1 %"),
    *("20 ms", "1 s", "6 s", "1.000 ms", "230/400 V", "gG", "icu", "UL 508A:2018", ["another"], ["UL 508A:2018"] * 2),
    *("fuse", "Fuse", "fuse ", "J", "R", "dc", "S1", "S", "-QA1", "power", "x" * 65, "a\x00b", "a\x7fb", "\ud800"),
    *([], {}, [1], [None], ["480 V"], [["480 V"]], {"voltage": "480 V"}, {"": 1}),
)
#: Names under which a member turns up again.
ALIASES = (
    "kind",
    "id",
    "Id",
    "part",
    "phases",
    "poles",
    "fuse_class",
    "edition",
    "editions",
    "transformer",
    "exempt",
    "fed_from",
    "note",
    "",
)


def drawn_document(random: Random) -> dict[str, Any]:
    """A demo panel or a drawn one, or either with the fields of the IEC standards."""
    document: dict[str, Any]
    if random.random() < 0.5:
        document = json.loads(random.choice([*PANELS.values()]))
    else:
        document = random_panel(random.randrange(10**6))
    return with_iec_fields(random, document) if random.random() < 0.5 else document


def spoiled(random: Random, document: dict[str, Any]) -> dict[str, Any]:
    """The document with a member or two changed, taken away, moved, repeated or added."""
    for _ in range(random.choice((1, 1, 1, 2))):
        *way, last = random.choice([*_spots(document)])
        place: Any = document
        for token in way:
            place = place[token]
        _spoil(random, place, last)
    return document


def _spots(value: Any, way: Spot = ()) -> Iterator[Spot]:
    if way:
        yield way
    members = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, member in members:
        yield from _spots(member, (*way, name))


def _spoil(random: Random, place: Any, last: str | int) -> None:
    action = random.choice(("change", "change", "remove", "repeat", "swap"))
    if action == "remove":
        del place[last]
    elif action == "repeat" and isinstance(place, list):
        place.append(place[last])
    elif action == "repeat":
        place[random.choice(ALIASES)] = place[last]
    elif action == "swap" and isinstance(place, list):
        other = random.randrange(len(place))
        place[last], place[other] = place[other], place[last]
    else:
        place[last] = random.choice(INTRUDERS)
