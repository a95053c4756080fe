"""Symbols after ANSI Y32.2 (IEEE 315), drawn by us."""

from typing import Final

from sccr.report.diagram.strokes import HEIGHT
from sccr.report.diagram.strokes import Items
from sccr.report.diagram.strokes import bow
from sccr.report.diagram.strokes import letters
from sccr.report.diagram.strokes import line
from sccr.report.diagram.strokes import ring
from sccr.report.diagram.strokes import wire


def _switch(extra: Items = ()) -> Items:
    """A blade between two terminals."""
    return (*wire(0, 2.4), *line((-0.4, 8.5), (-2.9, 3.2)), *ring(3, 0.6), *ring(9, 0.6), *wire(9.6, HEIGHT), *extra)


def _breaker(top: float, bottom: float) -> Items:
    """A bow over the gap between two terminals, bulging to the left."""
    middle = (top + bottom) / 2
    return (*bow(0, middle, (bottom - top) / 2, 110, 140), *ring(top, 0.5, "#000000"), *ring(bottom, 0.5, "#000000"))


def _thermal(top: float) -> Items:
    """A bend of the wire: the thermal element."""
    return line((0, top), (0, top + 0.6), (-1.6, top + 0.6), (-1.6, top + 3.4), (0, top + 3.4), (0, top + 4))


def _contactor(top: float) -> Items:
    """Two parallel lines across a gap."""
    return (*line((-2, top), (2, top)), *line((-2, top + 1.6), (2, top + 1.6)))


def _coil(x: float, top: float, bumps: int, start: float) -> Items:
    turns = [bow(x, top + 1 + 2 * turn, 1, start, 180) for turn in range(bumps)]
    return tuple(item for turn in turns for item in turn)


def _transformer() -> Items:
    places = (-2.4, -0.8, 0.8, 2.4)
    turns = [bow(x, 4.2, 0.8, 0, 180) for x in places] + [bow(x, 7.8, 0.8, 180, 180) for x in places]
    core = (*line((-3.2, 5.7), (3.2, 5.7)), *line((-3.2, 6.3), (3.2, 6.3)))
    return (*wire(0, 4.2), *(item for turn in turns for item in turn), *core, *wire(7.8, HEIGHT))


def _zigzag(top: float, bottom: float) -> Items:
    step = (bottom - top) / 6
    peaks = [(1.5 if turn % 2 else -1.5, top + step * (turn + 0.5)) for turn in range(6)]
    return line((0, top), *peaks, (0, bottom))


def _receptacle(inner: Items) -> Items:
    return (*wire(0, 2.5), *ring(5.5, 3), *line((-0.9, 4), (-0.9, 7)), *line((0.9, 4), (0.9, 7)), *inner)


ANSI: Final[dict[str, Items]] = {
    "circuit_breaker": (*wire(0, 2.8), *_breaker(2.8, 9.2), *wire(9.2, HEIGHT)),
    "supplementary_protector": (*wire(0, 2.8), *_breaker(2.8, 9.2), *letters("SP", 6, 1.8), *wire(9.2, HEIGHT)),
    "fuse": (*wire(0, 3), *bow(0, 4.5, 1.5, 270, 180), *bow(0, 7.5, 1.5, 90, 180), *wire(9, HEIGHT)),
    "fuseholder": (
        *wire(0, 2.8),
        *line((-1.6, 4.2), (0, 2.8), (1.6, 4.2)),
        *wire(2.8, 9.2),
        *line((-1.6, 7.8), (0, 9.2), (1.6, 7.8)),
        *wire(9.2, HEIGHT),
    ),
    "disconnect_switch": _switch(),
    "fused_disconnect_switch": _switch((*bow(2.4, 4.9, 1.1, 270, 180), *bow(2.4, 7.1, 1.1, 90, 180))),
    "switch": _switch(),
    "mercury_switch": (*ring(6, 4.4, None), *_switch()),
    "contactor": (*wire(0, 5.2), *_contactor(5.2), *wire(6.8, HEIGHT)),
    "overload_relay": (*wire(0, 4), *_thermal(4), *wire(8, HEIGHT)),
    "motor_starter": (*wire(0, 3), *_contactor(3), *wire(4.6, 6.5), *_thermal(6.5), *wire(10.5, HEIGHT)),
    "manual_motor_controller": (
        *wire(0, 1.6),
        *line((-0.4, 5.2), (-2.4, 1.6)),
        *ring(2.1, 0.5),
        *ring(5.6, 0.5),
        *wire(6.1, 7),
        *_thermal(7),
        *wire(11, HEIGHT),
    ),
    "combination_motor_controller": (
        *wire(0, 0.8),
        *_breaker(0.8, 3.8),
        *wire(3.8, 5),
        *_contactor(5),
        *wire(6.6, 7.4),
        *_thermal(7.4),
        *wire(11.4, HEIGHT),
    ),
    "receptacle": _receptacle(()),
    "gfci_receptacle": _receptacle(letters("GF", 10, 1.8)),
    "capacitor": (*wire(0, 5.3), *line((-2.6, 5.3), (2.6, 5.3)), *bow(0, 9.9, 3.4, 225, 90), *wire(6.5, HEIGHT)),
    "transformer": _transformer(),
    "current_transformer": (*wire(0, HEIGHT), *_coil(1.4, 4, 2, 270)),
    "reactor": (*wire(0, 2), *_coil(0, 2, 4, 270), *wire(10, HEIGHT)),
    "resistor": (*wire(0, 2.5), *_zigzag(2.5, 9.5), *wire(9.5, HEIGHT)),
    "heater": (*wire(0, 2.5), *_zigzag(2.5, 8.5)),
}
