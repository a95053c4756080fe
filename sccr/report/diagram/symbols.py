"""A symbol for every kind, drawn by us after IEC 60617 or after ANSI Y32.2 (IEEE 315); which is the reader's choice."""

from enum import StrEnum
from typing import Final

from sccr.report.diagram.one_line import DC_SUPPLY
from sccr.report.diagram.one_line import SUPPLY
from sccr.report.diagram.strokes import HEIGHT
from sccr.report.diagram.strokes import Items
from sccr.report.diagram.strokes import box
from sccr.report.diagram.strokes import cased
from sccr.report.diagram.strokes import cross
from sccr.report.diagram.strokes import direct
from sccr.report.diagram.strokes import earth
from sccr.report.diagram.strokes import letters
from sccr.report.diagram.strokes import line
from sccr.report.diagram.strokes import ring
from sccr.report.diagram.strokes import shape
from sccr.report.diagram.strokes import waves
from sccr.report.diagram.strokes import wire
from sccr.report.diagram.symbols_ansi import ANSI
from sccr.report.diagram.symbols_iec import IEC


class Symbols(StrEnum):
    """The standard after which the symbols are drawn."""

    ANSI = "ansi"
    IEC = "iec"


def _meter(letter: str) -> Items:
    return (*wire(0, 3), *ring(6, 3), *letters(letter, 6), *wire(9, HEIGHT))


def _drive() -> Items:
    inner = (*line((3.5, 2.5), (-3.5, 9.5)), *waves(-1.4, 4.2, 1.2), *waves(1.5, 7.8, 1.2))
    return cased(3.5, 2.5, 9.5, inner)


def _power_supply() -> Items:
    inner = (*line((3.5, 2.5), (-3.5, 9.5)), *waves(-1.4, 4.2, 1.2), *direct(1.5, 7.8, 1.2))
    return cased(3.5, 2.5, 9.5, inner)


def _soft_starter() -> Items:
    thyristor = (*shape((-1.6, 4.6), (1.6, 4.6), (0, 7)), *line((-1.6, 7), (1.6, 7)), *line((0.2, 7), (2, 8.4)))
    return cased(3.5, 2.5, 9.5, (*wire(2.5, 4.6), *thyristor, *wire(7, 9.5)))


def _block() -> Items:
    inner = tuple(item for y in (4.4, 7.6) for item in ring(y, 0.9))
    return cased(2.2, 2.5, 9.5, (*wire(2.5, 9.5), *inner))


def _arrester() -> Items:
    arrows = (
        *shape((-1, 3.6), (1, 3.6), (0, 5.4), fill="#000000"),
        *shape((-1, 8.4), (1, 8.4), (0, 6.6), fill="#000000"),
    )
    return (*wire(0, 2), *box(2, 2, 9), *wire(2, 3.6), *arrows, *wire(8.4, 9), *earth(0, 9))


def _varistor() -> Items:
    return (*wire(0, 2), *box(1.3, 2, 9), *line((-2.6, 8), (-2.6, 9.4), (2.6, 2.6)), *earth(0, 9))


def _unit() -> Items:
    return (*box(3.6, 1.6, 10.4, dashed=True), *wire(0, 3), *line((0, 9), (-2.6, 3.4)), *wire(9, HEIGHT))


_CONVERTERS: Final = {"drive": _drive(), "power_supply": _power_supply(), "soft_starter": _soft_starter()}

#: Symbols that both standards share, or that neither has and are ours.
_SHARED: Final[dict[str, Items]] = {
    SUPPLY: (*ring(3.5, 3.5), *waves(0, 3.5, 2), *wire(7, HEIGHT)),
    DC_SUPPLY: (*ring(3.5, 3.5), *direct(0, 3.5, 2), *wire(7, HEIGHT)),
    **_CONVERTERS,
    "motor": (*wire(0, 2), *ring(5.5, 3.5), *letters("M", 5.5, 3.2)),
    "load": (*wire(0, 6), *shape((-1.6, 6), (1.6, 6), (0, 9.5), fill="#000000")),
    "lighting": (*wire(0, 2), *ring(5, 3), *cross(5, 2.12)),
    "terminal_block": (*wire(0, 4.6), *ring(6, 1.4), *wire(7.4, HEIGHT)),
    "power_distribution_block": _block(),
    "bus_bar": (*wire(0, 5.4), *shape((-4, 5.4), (4, 5.4), (4, 6.6), (-4, 6.6), fill="#000000"), *wire(6.6, HEIGHT)),
    "current_meter": _meter("A"),
    "voltmeter": _meter("V"),
    "meter_socket": cased(3.6, 2.4, 9.6, (*ring(6, 2.8), *letters("M", 6, 2.2))),
    "current_shunt": cased(1.5, 3, 9, (*line((-1.5, 4.2), (-3.6, 4.2)), *line((-1.5, 7.8), (-3.6, 7.8)))),
    "surge_protective_device": _arrester(),
    "varistor": _varistor(),
    "switch_unit": _unit(),
    "capacitor": (*wire(0, 5.3), *line((-2.6, 5.3), (2.6, 5.3)), *line((-2.6, 6.7), (2.6, 6.7)), *wire(6.7, HEIGHT)),
}

_UNKNOWN: Final = cased(3.5, 2.5, 9.5, ())
_TABLES: Final = {Symbols.ANSI: ANSI, Symbols.IEC: IEC}


def symbol(kind: str, symbols: Symbols) -> Items:
    """Return the symbol of a kind, its upper terminal at (0, 0); a kind that has none is an empty box."""
    return _TABLES[symbols].get(kind) or _SHARED.get(kind) or _UNKNOWN


def has_symbol(kind: str, symbols: Symbols) -> bool:
    """Return whether a kind has a symbol of its own."""
    return kind in _TABLES[symbols] or kind in _SHARED


#: Kinds drawn without a lower terminal, and where a wire that goes on from them starts [mm].
_ENDS: Final = {
    "motor": 9.0,
    "load": 9.5,
    "lighting": 8.0,
    "heater": 8.5,
    "receptacle": 8.5,
    "gfci_receptacle": 8.5,
    "surge_protective_device": 9.0,
    "varistor": 9.0,
}


def lower_terminal(kind: str) -> float:
    """Return where what a kind feeds is connected [mm below its upper terminal]."""
    return _ENDS.get(kind, HEIGHT)
