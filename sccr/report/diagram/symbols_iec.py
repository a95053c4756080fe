"""Symbols after IEC 60617, drawn by us."""

from typing import Final

from sccr.report.diagram.strokes import HEIGHT
from sccr.report.diagram.strokes import Items
from sccr.report.diagram.strokes import bow
from sccr.report.diagram.strokes import box
from sccr.report.diagram.strokes import cased
from sccr.report.diagram.strokes import cross
from sccr.report.diagram.strokes import letters
from sccr.report.diagram.strokes import line
from sccr.report.diagram.strokes import ring
from sccr.report.diagram.strokes import wire


def _contact(mark: Items, bottom: float = 9) -> Items:
    """A make contact: hinged below, its mark at the fixed contact above."""
    return (*wire(0, 3), *line((0, bottom), (-2.8, 3.4)), *wire(bottom, HEIGHT), *mark)


_BREAKS: Final = cross(3, 0.9)
_ISOLATES: Final = line((-1.3, 3), (1.3, 3))
_CONTACTS: Final = bow(0, 3.0, 1.0, 90, 180)

#: A bend of the wire in a box: the thermal release.
_THERMAL: Final = (*box(2.2, 8, 11), *line((0, 8), (0, 8.8), (-1.2, 8.8), (-1.2, 10.2), (0, 10.2), (0, 11)))


def _with_release(mark: Items) -> Items:
    return (*_contact(mark, 7), *_THERMAL)


def _fused() -> Items:
    blade = ((-0.55, 7.75), (-1.95, 4.95), (-1.15, 4.55), (0.25, 7.35))
    return (*_contact(_ISOLATES), *line(*blade, blade[0]))


def _starter() -> Items:
    return cased(3.2, 2.8, 9.2, (*line((-3.2, 9.2), (0, 5.2), (3.2, 9.2)), *line((-3.2, 5.2), (3.2, 5.2))))


def _holder() -> Items:
    upper = (*line((-1.6, 3.6), (0, 2.2), (1.6, 3.6)), *line((-1.6, 5), (0, 3.6), (1.6, 5)))
    lower = (*line((-1.6, 8.4), (0, 9.8), (1.6, 8.4)), *line((-1.6, 7), (0, 8.4), (1.6, 7)))
    return (*wire(0, 2.2), *upper, *wire(3.6, 8.4), *lower, *wire(9.8, HEIGHT))


def _receptacle(inner: Items) -> Items:
    return (*wire(0, 3), *line((-2.4, 3), (2.4, 3)), *bow(0, 5.4, 2.4, 180, 180), *inner)


def _coil() -> Items:
    bumps = [bow(0, y, 1, 270, 180) for y in (3, 5, 7, 9)]
    return (*wire(0, 2), *(item for bump in bumps for item in bump), *wire(10, HEIGHT))


def _heater() -> Items:
    bars = [line((-1.4, y), (1.4, y)) for y in (4.2, 5.6, 7)]
    return (*wire(0, 3), *box(1.4, 3, 8.2), *(item for bar in bars for item in bar))


IEC: Final[dict[str, Items]] = {
    "circuit_breaker": _contact(_BREAKS),
    "supplementary_protector": (*_contact(_BREAKS), *letters("SP", 6.2, 1.8, x=2)),
    "fuse": (*wire(0, HEIGHT), *box(1.3, 2.5, 9.5), *wire(2.5, 9.5)),
    "fuseholder": _holder(),
    "disconnect_switch": _contact((*_ISOLATES, *ring(3.7, 0.7))),
    "fused_disconnect_switch": _fused(),
    "switch": _contact(()),
    "mercury_switch": (*ring(6, 4.4, None), *_contact(())),
    "contactor": _contact(_CONTACTS),
    "overload_relay": cased(2.6, 3, 9, line((0, 3), (0, 4.4), (-1.5, 4.4), (-1.5, 7.6), (0, 7.6), (0, 9))),
    "motor_starter": _starter(),
    "manual_motor_controller": _with_release(_ISOLATES),
    "combination_motor_controller": _with_release(_BREAKS),
    "receptacle": _receptacle(()),
    "gfci_receptacle": _receptacle(letters("GF", 9, 1.8)),
    "transformer": (*wire(0, 1.5), *ring(4.4, 2.9, None), *ring(7.6, 2.9, None), *wire(10.5, HEIGHT)),
    "current_transformer": (*wire(0, HEIGHT), *ring(6, 2.6, None), *line((2.6, 6), (4, 6))),
    "reactor": _coil(),
    "resistor": (*wire(0, 2.5), *box(1.3, 2.5, 9.5), *wire(9.5, HEIGHT)),
    "heater": _heater(),
}
