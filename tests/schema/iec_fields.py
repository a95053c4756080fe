"""The fields of the IEC standards and of several editions, drawn and written onto right documents, which stay right."""

from random import Random
from typing import Any

from sccr.panel.kinds import kinds

Member = dict[str, Any]

VOLTAGES = ("400 V", "230/400 V", "400Y/230 V", "0.4 kV", "690 V", "230 V", "277/480 V", "500V")
CURRENTS = ("10 kA", "25 kA", "50 kA", "6000 A", "3kA")
DURATIONS = ("20 ms", "0.02 s", "1 s", "3s", "5 s", "2.5 ms", "1000 ms")
CATEGORIES = ("gG", "gM", "aM", "aR", "gR")
EDITIONS = ("UL 508A:2018", "UL 508A:2013", "another", "IEC", "CSA")


def with_iec_fields(random: Random, document: Member) -> Member:
    """Return the document with some of the fields on components and supplies, among its options and beside them."""
    for component in document["components"]:
        if random.random() < 0.4:
            component |= _drawn(random, component)
    for supply in document["supplies"]:
        if "upstream_protection" in supply:
            device = supply["upstream_protection"]
            device |= _some(random, _protecting(random, device["device"] == "fuse"))
    if random.random() < 0.5:
        document["options"] = document.get("options", {}) | _some(random, _options(random))
    if random.random() < 0.3:
        document.pop("edition", None)
        document["editions"] = random.sample(EDITIONS, random.choice((1, 2, 5)))
    return document


def _drawn(random: Random, component: Member) -> Member:
    kind = kinds().get(component.get("kind", ""))
    if kind is None:
        return {}
    fuse, own = kind.name == "fuse", bool(component.get("self_protected"))
    members: Member = {}
    if kind.overcurrent or (kind.controller and own):
        members |= _protecting(random, fuse)
        members["back_up_ratings"] = _several(random, _back_up)
    if not fuse:
        members["short_time_ratings"] = _several(random, _short_time)
    if not kind.overcurrent:
        members["conditional_ratings"] = _several(random, _conditional)
    return _some(random, members)


def _protecting(random: Random, fuse: bool) -> Member:
    members: Member = {
        "clearing_time": random.choice(DURATIONS),
        "breaking_capacities": _several(random, _breaking(fuse)),
    }
    if fuse:
        members["utilization_category"] = random.choice(CATEGORIES)
    return members


def _breaking(fuse: bool) -> Any:
    words = ("fuse",) if fuse else ("icu", "ics", "icn")
    return lambda random: {**_at(random), "kind": random.choice(words)}


def _options(random: Random) -> Member:
    flags = {name: random.random() < 0.5 for name in ("service_breaking_capacity", "skilled_persons_only")}
    return {**flags, "coordination": random.choice((1, 2))}


def _some(random: Random, members: Member) -> Member:
    return {name: member for name, member in members.items() if random.random() < 0.7}


def _several(random: Random, draw: Any) -> list[Member]:
    return [draw(random) for _ in range(random.choice((0, 1, 1, 2)))]


def _at(random: Random) -> Member:
    at = {"voltage": random.choice(VOLTAGES), "current": random.choice(CURRENTS)}
    return at | _some(random, {"supply": random.choice(("ac", "dc"))})


def _short_time(random: Random) -> Member:
    rating = {"current": random.choice(CURRENTS), "duration": random.choice(DURATIONS)}
    return rating | _some(random, {"peak": random.choice(("51 kA", "105 kA"))})


def _conditional(random: Random) -> Member:
    return {**_at(random), "protected_by": _device(random), **_some(random, {"coordination": random.choice((1, 2))})}


def _back_up(random: Random) -> Member:
    return {**_at(random), "line_side": _device(random), **_some(random, {"reference": "record B-2"})}


def _device(random: Random) -> Member:
    if random.random() < 0.3:
        return {"device": "circuit_breaker", "parts": ["OAT-3P-100"], "max_ampere_rating": "100 A"}
    told = random.choice(
        (
            {"fuse_classes": ["J"]},
            {"utilization_categories": ["gG"]},
            {"utilization_categories": ["gG", "aM"], "fuse_classes": ["CC"]},
        )
    )
    return {"device": "fuse", "max_ampere_rating": "63 A", **told}
