"""Small panels and catalogues drawn at random, and the least cost found by trying every set of changes."""

import random
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from typing import Any

import sccr
from tests.drawing import THREE_WIRE
from tests.drawing import WYE
from tests.drawing import Document
from tests.drawing import behind_breaker
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.drawing import withstands

KA = 1_000_000
#: Drawn often enough to meet at thresholds: 8, 10 and 16 kA are let-throughs of class J at 60 A.
CURRENTS = ("5 kA", "8 kA", "10 kA", "14 kA", "16 kA", "25 kA", "65 kA", "100 kA")


@dataclass(frozen=True)
class Order:
    """A panel, the parts on offer, the target [mA], and the feeder device behind which a fuse may be added, if any."""

    document: Document
    offers: list[Document]
    target: int
    main: str | None = None

    @property
    def catalogue(self) -> sccr.Catalogue:
        return catalogue(*self.offers)


def catalogue(*parts: Document) -> sccr.Catalogue:
    return sccr.Catalogue.from_document({"format": "catalogue/1", "parts": list(parts)})


def offer(name: str, kind: str, price: str | None, **fields: Any) -> Document:
    return {"part": name, "kind": kind, **({"price": price} if price else {}), **fields}


def random_order(seed: int) -> Order:
    """One of several sorts of panel, by its seed."""
    draw = random.Random(seed)
    return draw.choice([_motors, _fused_feeder, _through_a_transformer, _series_rated, _two_supplies])(draw)


def _price(draw: random.Random) -> str:
    return draw.choice([f"{draw.randint(0, 99)}.{draw.randint(0, 99):02}", str(draw.randint(1, 9))])


def _current(draw: random.Random) -> str:
    return draw.choice(CURRENTS)


def _target(draw: random.Random) -> int:
    return draw.choice([8, 10, 14, 16, 25, 50, 65, 100]) * KA


def _withstand(draw: random.Random) -> list[Document]:
    """A plain rating, and perhaps one with a fuse and one with a breaker."""
    found = withstands(_current(draw))
    if draw.random() < 0.5:
        found.append(behind_fuse(_current(draw), [draw.choice(["J", "CC", "RK5"])], "60 A"))
    if draw.random() < 0.5:
        found.append(behind_breaker(_current(draw), [draw.choice(["B-1", "B-2"])]))
    return found


def _breakers(draw: random.Random, names: tuple[str, ...] = ("B-1", "B-2")) -> list[Document]:
    fields = {"poles": 3, "ampere_rating": "30 A"}
    return [
        offer(name, "circuit_breaker", _price(draw), **fields, interrupting_ratings=interrupts(_current(draw)))
        for name in names
    ]


def _contactors(draw: random.Random, names: tuple[str, ...] = ("K-1", "K-2")) -> list[Document]:
    return [
        offer(name, "contactor", _price(draw), ampere_rating="30 A", short_circuit_ratings=_withstand(draw))
        for name in names
    ]


def _holder_and_fuse(draw: random.Random, fuse_class: str) -> list[Document]:
    rated = [behind_fuse("200 kA", [fuse_class], "60 A")]
    fields = {"fuse_class": "R" if fuse_class == "RK5" else fuse_class, "ampere_rating": "60 A"}
    return [
        offer(f"F-{fuse_class}", "fuse", _price(draw), fuse_class=fuse_class, ampere_rating="60 A"),
        offer(f"H-{fuse_class}", "fuseholder", _price(draw), **fields, short_circuit_ratings=rated),
    ]


def _motors(draw: random.Random) -> Order:
    """A main, two motors behind a breaker each, the second reversing: its relay is fed on two paths."""
    main = draw.choice(
        [
            part("disconnect_switch", "QB1", ampere_rating="60 A", short_circuit_ratings=withstands("100 kA")),
            breaker("QB1", current="100 kA", poles=3, ampere_rating="60 A"),
        ]
    )
    second = [
        breaker("FC2", "QB1", _current(draw), poles=3, ampere_rating="30 A"),
        part("contactor", "KM2", "FC2", ampere_rating="30 A", short_circuit_ratings=_withstand(draw)),
        part("contactor", "KM3", "FC2", ampere_rating="30 A", short_circuit_ratings=withstands("100 kA")),
        part("overload_relay", "FR2", ["KM2", "KM3"], short_circuit_ratings=withstands(_current(draw))),
    ]
    document = panel(
        main,
        breaker("FC1", "QB1", _current(draw), poles=3, ampere_rating="30 A", part=draw.choice(["B-1", "B-2"])),
        part("contactor", "KM1", "FC1", ampere_rating="30 A", short_circuit_ratings=_withstand(draw)),
        *second[: draw.choice([0, 2, 4])],
    )
    relay = offer("R-1", "overload_relay", _price(draw), short_circuit_ratings=_withstand(draw))
    offers = [*_breakers(draw), *_contactors(draw, ("K-1",)), relay, *_holder_and_fuse(draw, "J")]
    return Order(document, offers, _target(draw), "QB1")


def _fused_feeder(draw: random.Random) -> Order:
    """A fuse in its holder ahead of two branches: its class may change, and the holder with it."""
    found = draw.choice(["J", "RK5"])
    holder = {"fuse_class": "R" if found == "RK5" else found, "ampere_rating": "60 A"}
    document = panel(
        part("fuseholder", "XF1", **holder, short_circuit_ratings=withstands("200 kA")),
        fuse("FC0", "XF1", found, "60 A", poles=3),
        breaker("FC1", "FC0", _current(draw), poles=3, ampere_rating="30 A"),
        part("contactor", "KM1", "FC1", ampere_rating="30 A", short_circuit_ratings=_withstand(draw)),
        part("terminal_block", "XD1", "FC0", ampere_rating="30 A", short_circuit_ratings=withstands(_current(draw))),
        part("contactor", "KM2", "XD1", ampere_rating="30 A", short_circuit_ratings=_withstand(draw)),
    )
    offers = [*_breakers(draw, ("B-1",)), *_contactors(draw), *_holder_and_fuse(draw, draw.choice(["J", "T", "RK5"]))]
    return Order(document, offers, _target(draw))


def _through_a_transformer(draw: random.Random) -> Order:
    """A primary breaker, a transformer and a breaker behind it: T1 to T4 decide what the secondary may be worth."""
    size = draw.choice(["3 kVA", "7.5 kVA", "25 kVA"])
    weak = withstands(draw.choice(["1 kA", "3 kA", "8 kA"]))
    secondary = {"poles": 1, "ampere_rating": "30 A"}
    document = panel(
        breaker("FC1", current=_current(draw), poles=2, ampere_rating="30 A"),
        transformer("TA1", "FC1", size, phases=1, impedance="3 %", primary="480 V"),
        breaker("FC2", "TA1", draw.choice(["1 kA", "3 kA", "8 kA"]), **secondary),
        part("terminal_block", "XD2", "FC2", ampere_rating="30 A", short_circuit_ratings=weak),
    )
    two, one = {"poles": 2, "ampere_rating": "30 A"}, secondary
    offers = [
        *(
            offer(name, "circuit_breaker", _price(draw), **kind, interrupting_ratings=interrupts(_current(draw)))
            for name, kind in (("P-1", two), ("P-2", two), ("S-1", one), ("S-2", one))
        ),
        offer("X-1", "terminal_block", _price(draw), ampere_rating="30 A", short_circuit_ratings=_withstand(draw)),
    ]
    return Order(document, offers, _target(draw))


def _series_rated(draw: random.Random) -> Order:
    """Breakers tested in series behind a main that may be changed, a limiting one on offer."""
    line_side = {"device": "circuit_breaker", "parts": ["M-1", "M-2"], "max_ampere_rating": "60 A"}
    tested = {"line_side": line_side, "voltage": "600 V", "current": _current(draw), "reference": "S-1"}
    main = {"poles": 3, "ampere_rating": "60 A"}
    points = [{"available": "65 kA", "peak": draw.choice(["8 kA", "10 kA", "14 kA"]), "voltage": "600 V"}]
    limiting = {"current_limiting": True, "let_through": points}
    document = panel(
        breaker("QB1", current=_current(draw), part=draw.choice(["M-0", "M-1"]), **main),
        breaker("FC1", "QB1", _current(draw), poles=3, ampere_rating="30 A", series_ratings=[tested]),
        part("contactor", "KM1", "FC1", ampere_rating="30 A", short_circuit_ratings=_withstand(draw)),
        motor("MA1", "KM1", full_load_current="14 A"),
    )
    offers = [
        offer("M-0", "circuit_breaker", _price(draw), **main, interrupting_ratings=interrupts(_current(draw))),
        offer("M-1", "circuit_breaker", _price(draw), **main, interrupting_ratings=interrupts("65 kA")),
        offer("M-2", "circuit_breaker", _price(draw), **main, **limiting, interrupting_ratings=interrupts("65 kA")),
        *_breakers(draw),
        *_contactors(draw, ("K-1",)),
    ]
    return Order(document, offers, _target(draw), "QB1")


def _two_supplies(draw: random.Random) -> Order:
    """Motors on one supply, with protection upstream, and lights on another."""
    upstream = {"device": "fuse", "fuse_class": "J", "ampere_rating": "60 A"}
    lights = {"poles": 1, "ampere_rating": "30 A"}
    document = panel(
        breaker("FC1", "S", _current(draw), poles=3, ampere_rating="30 A"),
        part("contactor", "KM1", "FC1", ampere_rating="30 A", short_circuit_ratings=_withstand(draw)),
        breaker("FC8", "L", _current(draw), "120 V", **lights),
        part("receptacle", "XD8", "FC8"),
        supplies=[
            {"id": "S", **WYE, **({"upstream_protection": upstream} if draw.random() < 0.6 else {})},
            {"id": "L", **THREE_WIRE},
        ],
    )
    offers = [
        *_breakers(draw),
        *_contactors(draw),
        offer(
            "L-1", "circuit_breaker", _price(draw), **lights, interrupting_ratings=interrupts(_current(draw), "120 V")
        ),
        offer("E-1", "receptacle", _price(draw), short_circuit_ratings=withstands("25 kA", "125 V")),
    ]
    return Order(document, offers, _target(draw))


@dataclass(frozen=True)
class Changed:
    """A changed panel: what it costs, and the parts that were put in, by their places."""

    document: Document
    cost: Decimal
    parts: dict[str, str]

    def reaches(self, order: Order) -> bool:
        rating = sccr.rate(self.document, order.catalogue).rating
        return rating is not None and rating.current >= order.target


def every_change(order: Order) -> list[Changed]:
    """Every way to change a panel, cheapest first; the one with fewer changes first where they cost the same."""
    return sorted(_every_change(order), key=lambda changed: (changed.cost, len(changed.parts)))


def least_cost(order: Order) -> Decimal | None:
    """The least price of all sets of changes that reach the target: each changed panel is built and rated."""
    return next((changed.cost for changed in every_change(order) if changed.reaches(order)), None)


def _every_change(order: Order) -> Iterator[Changed]:
    for document in [order.document, *_with_feeder_fuse(order)]:
        for choice in product(*(_options(component, order) for component in document["components"])):
            both = list(zip(document["components"], choice, strict=True))
            components = [_placed(component, chosen) if chosen else component for component, chosen in both]
            yield Changed(
                {**document, "components": components},
                sum((Decimal(chosen["price"]) * _pieces(place, order) for place, chosen in both if chosen), Decimal(0)),
                {component["id"]: chosen["part"] for component, chosen in both if chosen},
            )


def _pieces(place: Document, order: Order) -> int:
    """A set of fuses takes one in each conductor; the orders state the poles where there are not three."""
    return int(place.get("poles", 3)) if place["kind"] == "fuse" else 1


def _options(component: Document, order: Order) -> list[Document | None]:
    if component["kind"] in ("transformer", "motor"):
        return [None]
    same = [
        o
        for o in order.offers
        if (o["kind"], o.get("ampere_rating")) == (component["kind"], component.get("ampere_rating"))
        and o["part"] != component.get("part")
        and component.get("utilization_category") in (None, o.get("utilization_category"))
        and (component["kind"] == "fuse" or o.get("poles") == component.get("poles"))
    ]
    return [*same] if component["id"] in ("NEW-HOLDER", "NEW-FUSE") else [None, *same]


def _with_feeder_fuse(order: Order) -> Iterator[Document]:
    if order.main is None:
        return
    changed = deepcopy(order.document)
    for component in changed["components"]:
        if component["fed_from"] == order.main:
            component["fed_from"] = "NEW-FUSE"
    changed["components"] += [
        {"id": "NEW-HOLDER", "kind": "fuseholder", "fed_from": order.main, "ampere_rating": "60 A"},
        {"id": "NEW-FUSE", "kind": "fuse", "fed_from": "NEW-HOLDER", "ampere_rating": "60 A"},
    ]
    yield changed


def _placed(component: Document, chosen: Document) -> Document:
    stays = {name: component[name] for name in ("id", "kind", "fed_from")}
    poles = {"poles": component["poles"]} if component["kind"] == "fuse" and "poles" in component else {}
    return {**stays, **poles, "part": chosen["part"]}
