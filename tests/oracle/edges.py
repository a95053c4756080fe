"""Small panels on the edges of the tables: one for each number that a rating may turn on.

Random panels seldom stand exactly at one row of Table SB4.2; these do.  A number
mistyped in the engine's data rates at least one of them differently.
"""

from collections.abc import Iterator
from typing import Any

from tests.oracle.tables import ASSUMED_KA
from tests.oracle.tables import FUSE_CLASS_KA
from tests.oracle.tables import LET_THROUGH

Part = dict[str, Any]
POWERS = [f"{hp} hp" for limit in (50, 200, 400, 600, 900, 1600) for hp in (limit, limit + 1)]
KILOWATTS = [f"{kw} kW" for limit in (38, 150, 299, 448, 672) for kw in (limit, limit - 0.1)]


def edge_panels() -> Iterator[dict[str, Any]]:
    """All of them, under four thousand."""
    yield from let_through_edges()
    yield from substitution_edges()
    yield from assumed_edges()


def panel(*components: Part, voltage: str = "480 V") -> dict[str, Any]:
    """A document with one delta supply."""
    supply = {"id": "S1", "voltage": voltage, "system": "ungrounded_delta", "phases": 3}
    parts = list(components)
    return {"format": "panel/1", "panel": {"designation": "edge"}, "supplies": [supply], "components": parts}


def fuse(name: str, above: str, fuse_class: str, amperes: float, volts: int = 600, **fields: Any) -> Part:
    """A fuse of 300 kA, so that its own IR stands in nobody's way."""
    own: Part = {"id": name, "kind": "fuse", "fed_from": above, "fuse_class": fuse_class, **fields}
    if fuse_class == "T":
        own["voltage_rating"] = f"{volts} V"
    ratings = [{"voltage": "600 V", "current": "300 kA"}]
    return {**own, "ampere_rating": f"{amperes:g} A", "interrupting_ratings": ratings}


def contactor(current: str, **condition: Any) -> Part:
    rating = {"voltage": "600 V", "current": current, **condition}
    return {"id": "-Q1", "kind": "contactor", "fed_from": "-F2", "short_circuit_ratings": [rating]}


def let_through_edges() -> Iterator[dict[str, Any]]:
    """A feeder fuse of every row, before parts of its peak exactly and of one ampere less."""
    for (fuse_class, volts), rows in LET_THROUGH.items():
        smaller = 0
        for amperes, columns in rows.items():
            peaks = sorted({peak for peak, _ in columns.values()})
            for size in (amperes, smaller + 1):
                feeder = fuse("-F1", "S1", fuse_class, size, volts)
                for withstand in [p * 1000 - less for p in peaks for less in (0, 1)]:
                    branch = fuse("-F2", "-F1", "CC", 30)
                    voltage = "480 V" if volts > 300 else "240 V"
                    yield panel(feeder, branch, contactor(f"{withstand:g} A"), voltage=voltage)
            smaller = amperes


def substitution_edges() -> Iterator[dict[str, Any]]:
    """A contactor tested with every row, at every column, behind a fuse of every other row (R4)."""
    for named, largest in _rows():
        for fitted, amperes, volts in [(c, a, v) for (c, v), rows in LET_THROUGH.items() for a in rows]:
            if fitted != named and amperes <= largest:
                condition = {"device": "fuse", "fuse_classes": [named], "max_ampere_rating": f"{largest} A"}
                voltage = "480 V" if volts > 300 else "240 V"
                for claim in ("50 kA", "100 kA", "200 kA"):
                    tested = contactor(claim, protected_by=condition)
                    yield panel(fuse("-F2", "S1", fitted, amperes, volts), tested, voltage=voltage)


def _rows() -> list[tuple[str, int]]:
    """Class and amperes of every row of a class that R4 names."""
    return sorted({(c, amperes) for (c, _), rows in LET_THROUGH.items() if c != "CF" for amperes in rows})


def assumed_edges() -> Iterator[dict[str, Any]]:
    """Every kind and band of Table SB4.1, and every fuse class, with nothing marked."""
    for kind in ASSUMED_KA:
        yield panel(fuse("-F2", "S1", "J", 30), {"id": "-X1", "kind": kind, "fed_from": "-F2"})
    for power in [*POWERS, *KILOWATTS]:
        starter = {"id": "-Q1", "kind": "motor_starter", "fed_from": "-F2", "horsepower": power}
        yield panel(fuse("-F2", "S1", "J", 600), starter)
    for fuse_class in FUSE_CLASS_KA:
        for voltage in ("480 V", "120 V"):
            bare = {"id": "-F1", "kind": "fuse", "fed_from": "S1", "fuse_class": fuse_class, "ampere_rating": "15 A"}
            yield panel(bare, voltage=voltage)
    for marks in (("8 A", "250 V"), ("9 A", "250 V"), ("60 A", "250 V"), ("61 A", "250 V"), ("5 A", "300 V")):
        switch = {"id": "-S1", "kind": "mercury_switch", "fed_from": "-F2"}
        marked = {**switch, "ampere_rating": marks[0], "voltage_rating": marks[1]}
        yield panel(fuse("-F2", "S1", "J", 30), marked, voltage="240 V")
