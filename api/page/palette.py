"""The kinds of component as the page offers them: each with its words, its traits and its symbols."""

from typing import Any
from typing import Final

from sccr.panel import kinds as known
from sccr.report.diagram.as_svg import svg
from sccr.report.diagram.scene import Drawing
from sccr.report.diagram.scene import Group
from sccr.report.diagram.scene import moved
from sccr.report.diagram.symbols import Symbols
from sccr.report.diagram.symbols import symbol

#: The box that every symbol fits in [mm].
_WIDTH: Final = 12.0
_HEIGHT: Final = 13.0


def kinds() -> list[dict[str, Any]]:
    """Return every kind: name, label, the traits that decide which fields it has, and its symbol in each set."""
    return [_kind(kind) for kind in known.kinds().values()]


def _kind(kind: known.Kind) -> dict[str, Any]:
    traits = [name for name in known.Kind.__slots__ if getattr(kind, name) is True]
    drawn = {symbols.value: _drawn(kind, symbols) for symbols in Symbols}
    return {"name": kind.name, "label": kind.label, "traits": traits, "symbols": drawn}


def _drawn(kind: known.Kind, symbols: Symbols) -> str:
    items = tuple(moved(symbol(kind.name, symbols), _WIDTH / 2, 0.5))
    return svg(Drawing(_WIDTH, _HEIGHT, (Group(items, ("symbol",), None, None),), kind.label))
