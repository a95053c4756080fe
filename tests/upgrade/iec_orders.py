"""Small panels by IEC 61439-2 drawn at random: what the worth of a part rests on is met in each of its ways."""

import random
from typing import Any

from tests.drawing import Document
from tests.drawing import part
from tests.drawing import transformer
from tests.upgrade.small_orders import KA
from tests.upgrade.small_orders import Order
from tests.upgrade.small_orders import offer

EDITION = "IEC 61439-2:2020"
STAR = {"voltage": "230/400 V", "system": "solidly_grounded_wye", "frequency": "50 Hz"}
CURRENTS = ("6 kA", "10 kA", "15 kA", "25 kA", "36 kA", "50 kA")
MAIN = {"poles": 3, "ampere_rating": "63 A"}
BRANCH = {"poles": 3, "ampere_rating": "25 A"}


def panel(*components: Document, supply: Document | None = None, **more: Any) -> Document:
    return {
        "format": "panel/1",
        "edition": EDITION,
        "panel": {"designation": "TEST-IEC"},
        "supplies": [{"id": "S", **(supply or STAR)}],
        "components": list(components),
        **more,
    }


def breaks(current: str, kind: str = "icu", voltage: str = "400 V") -> list[Document]:
    """A `breaking_capacities` list of one."""
    return [{"voltage": voltage, "current": current, "kind": kind}]


def behind(current: str, parts: list[str] | None = None, voltage: str = "400 V", **more: Any) -> Document:
    """A conditional rating behind a circuit-breaker, of one of some parts if they are named."""
    device: Document = {"device": "circuit_breaker", **({"parts": parts} if parts else {}), "max_ampere_rating": "63 A"}
    return {"voltage": voltage, "current": current, "protected_by": device, **more}


def short_time(current: str, duration: str = "1 s") -> list[Document]:
    """A `short_time_ratings` list of one."""
    return [{"current": current, "duration": duration}]


def random_iec_order(seed: int) -> Order:
    """One of several sorts of panel, by its seed."""
    draw = random.Random(seed)
    return draw.choice([_switched, _backed_up, _limited, _fused, _behind_a_transformer])(draw)


def _price(draw: random.Random) -> str:
    return draw.choice([f"{draw.randint(0, 99)}.{draw.randint(0, 99):02}", str(draw.randint(1, 9))])


def _current(draw: random.Random) -> str:
    return draw.choice(CURRENTS)


def _target(draw: random.Random) -> int:
    return draw.choice([6, 10, 15, 17, 25, 36]) * KA


def _short(draw: random.Random) -> list[Document]:
    return short_time(_current(draw), draw.choice(["0.2 s", "1 s", "3 s"]))


def _conditional(draw: random.Random) -> list[Document]:
    named = [behind(_current(draw), [draw.choice(["B-1", "B-2"])])] if draw.random() < 0.5 else []
    return [*named, behind(_current(draw))]


def _starter(draw: random.Random, number: int, fed_from: str) -> list[Document]:
    device, switch, relay, block = f"FC{number}", f"KM{number}", f"FR{number}", f"XD{number}"
    named = draw.choice([{"part": "B-1"}, {}])
    found = [
        part("circuit_breaker", device, fed_from, **BRANCH, **named, breaking_capacities=breaks(_current(draw))),
        part("contactor", switch, device, ampere_rating="25 A", conditional_ratings=_conditional(draw)),
        part("overload_relay", relay, switch, conditional_ratings=[behind("50 kA")]),
        part("terminal_block", block, relay, ampere_rating="25 A", conditional_ratings=_conditional(draw)),
    ]
    return found[: draw.choice([2, 3, 4])]


def _branch_offers(draw: random.Random, **more: Any) -> list[Document]:
    breakers = [
        offer(name, "circuit_breaker", _price(draw), **BRANCH, breaking_capacities=breaks(_current(draw)), **more)
        for name in ("B-1", "B-2")
    ]
    contactor = {"ampere_rating": "25 A", "conditional_ratings": _conditional(draw)}
    block = {"ampere_rating": "25 A", "conditional_ratings": _conditional(draw)}
    return [
        *breakers,
        offer("K-1", "contactor", _price(draw), **contactor),
        offer("X-1", "terminal_block", _price(draw), **block),
    ]


def _switched(draw: random.Random) -> Order:
    """A switch and a distribution block ahead of every device: they share the duration of their short-time current."""
    document = panel(
        part("disconnect_switch", "QB1", **MAIN, short_time_ratings=_short(draw)),
        part("power_distribution_block", "XM1", "QB1", ampere_rating="63 A", short_time_ratings=_short(draw)),
        *_starter(draw, 1, "XM1"),
    )
    offers = [
        *_branch_offers(draw),
        *(
            offer(name, "disconnect_switch", _price(draw), **MAIN, short_time_ratings=_short(draw))
            for name in ("Q-1", "Q-2")
        ),
        *(
            offer(name, "power_distribution_block", _price(draw), ampere_rating="63 A", short_time_ratings=_short(draw))
            for name in ("P-1", "P-2")
        ),
    ]
    return Order(document, offers, _target(draw))


def _backed_up(draw: random.Random) -> Order:
    """Breakers that a main backs up, if it is of a part that they were tested with."""
    line_side = {"device": "circuit_breaker", "parts": ["M-1", "M-2"]}
    tested = [{"line_side": line_side, "voltage": "400 V", "current": _current(draw)}]
    mains = [
        offer(name, "circuit_breaker", _price(draw), **MAIN, breaking_capacities=breaks(_current(draw)))
        for name in ("M-0", "M-1", "M-2")
    ]
    document = panel(
        part("circuit_breaker", "QB1", **MAIN, part="M-0"),
        *_starter(draw, 1, "QB1"),
        *_starter(draw, 2, "QB1")[:2],
    )
    return Order(
        document, [*mains, *_branch_offers(draw, back_up_ratings=tested)][: draw.choice([6, 7])], _target(draw)
    )


def _limited(draw: random.Random) -> Order:
    """Blocks and a switch behind a breaker with its cut-off currents, or with its clearing time."""

    def limits() -> Document:
        points = [
            {"available": a, "peak": draw.choice(p), "i2t": i, "voltage": "400 V"}
            for a, p, i in (("10 kA", ("8 kA",), "60 kA²s"), ("36 kA", ("14 kA", "17 kA", "20 kA"), "300 kA²s"))
        ]
        return draw.choice([{"current_limiting": True, "let_through": points}, {"clearing_time": "20 ms"}, {}])

    mains = [
        offer(name, "circuit_breaker", _price(draw), **MAIN, breaking_capacities=breaks(_current(draw)), **limits())
        for name in ("M-0", "M-1", "M-2")
    ]
    document = panel(
        part("circuit_breaker", "QB1", **MAIN, part="M-0"),
        part("terminal_block", "XM1", "QB1", ampere_rating="63 A"),
        part("switch", "QS1", "XM1", poles=3, ampere_rating="63 A", short_time_ratings=_short(draw)),
        *_starter(draw, 1, "QS1"),
    )
    switches = [offer(name, "switch", _price(draw), **MAIN, short_time_ratings=_short(draw)) for name in ("W-1", "W-2")]
    return Order(document, [*mains, *switches, *_branch_offers(draw)], _target(draw))


def _fused(draw: random.Random) -> Order:
    """Fuses in a holder: a contactor is tested with fuses of a category and of so many amperes at most."""

    def with_fuse() -> list[Document]:
        device = {
            "device": "fuse",
            "utilization_categories": [draw.choice(["gG", "aM"])],
            "max_ampere_rating": draw.choice(["25 A", "63 A"]),
        }
        return [{"voltage": "400 V", "current": _current(draw), "protected_by": device}]

    fuse = {"ampere_rating": "63 A", "utilization_category": draw.choice(["gG", "aM"])}
    holder = {"ampere_rating": "63 A"}
    document = panel(
        part("circuit_breaker", "QB1", **MAIN, breaking_capacities=breaks(_current(draw))),
        part("fuseholder", "XF1", "QB1", **holder, conditional_ratings=[*with_fuse(), behind(_current(draw))]),
        part("fuse", "FC1", "XF1", poles=3, **fuse, breaking_capacities=breaks(_current(draw), "fuse")),
        part("contactor", "KM1", "FC1", ampere_rating="25 A", conditional_ratings=with_fuse()),
        part("terminal_block", "XD1", "KM1", ampere_rating="25 A"),
    )
    offers = [
        offer("M-1", "circuit_breaker", _price(draw), **MAIN, breaking_capacities=breaks("50 kA")),
        offer("H-1", "fuseholder", _price(draw), **holder, conditional_ratings=[*with_fuse(), behind("50 kA")]),
        *(
            offer(
                f"F-{category}",
                "fuse",
                _price(draw),
                ampere_rating="63 A",
                utilization_category=category,
                breaking_capacities=breaks(_current(draw), "fuse"),
            )
            for category in ("gG", "aM")
        ),
        *(
            offer(n, "contactor", _price(draw), ampere_rating="25 A", conditional_ratings=with_fuse())
            for n in ("K-1", "K-2")
        ),
        offer("X-1", "terminal_block", _price(draw), ampere_rating="25 A", conditional_ratings=with_fuse()),
    ]
    return Order(document, offers, _target(draw))


def _behind_a_transformer(draw: random.Random) -> Order:
    """A control transformer: what stands behind it is held to what comes through."""
    size, impedance = draw.choice(["2 kVA", "16 kVA", "40 kVA"]), draw.choice([{"impedance": "4 %"}, {}])
    small = {"poles": 1, "ampere_rating": "25 A"}
    capacity = breaks(draw.choice(["0.5 kA", "1 kA", "3 kA", "10 kA"]), voltage="230 V")
    weak = [behind(draw.choice(["0.5 kA", "1 kA", "3 kA"]), voltage="230 V")]
    document = panel(
        part("circuit_breaker", "FC1", poles=2, ampere_rating="25 A", breaking_capacities=breaks(_current(draw))),
        transformer("TA1", "FC1", size, "230 V", phases=1, primary="400 V", **impedance),
        part("circuit_breaker", "FC2", "TA1", **small, breaking_capacities=capacity),
        part("contactor", "KM2", "FC2", ampere_rating="25 A", conditional_ratings=weak),
    )
    two = {"poles": 2, "ampere_rating": "25 A"}
    strong = [behind(_current(draw), voltage="230 V")]
    offers = [
        *(
            offer(n, "circuit_breaker", _price(draw), **two, breaking_capacities=breaks(_current(draw)))
            for n in ("P-1",)
        ),
        *(
            offer(n, "circuit_breaker", _price(draw), **small, breaking_capacities=breaks(c, voltage="230 V"))
            for n, c in (("S-1", "3 kA"), ("S-2", _current(draw)))
        ),
        offer("K-1", "contactor", _price(draw), ampere_rating="25 A", conditional_ratings=strong),
    ]
    return Order(document, offers, _target(draw))
