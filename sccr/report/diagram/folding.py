"""Which nodes stand on which sheet: a wide diagram is cut between columns, a deep one between layers."""

from collections.abc import Iterator
from collections.abc import Mapping
from typing import Final

from sccr.report.diagram.placing import Place

#: What the wires between two layers take up at the least [mm], to reckon with before they are routed.
_BETWEEN: Final = 8.0


def folded(
    places: Mapping[str, Place], heights: Mapping[str, float], columns: int, height: float
) -> list[tuple[str, ...]]:
    """Return the nodes of each sheet: at most `columns` wide and about `height` [mm] tall."""
    return [
        sheet
        for start, end in _bands(places, columns)
        for sheet in _rows({n: p for n, p in places.items() if start <= p.column < end}, heights, height)
    ]


def _bands(places: Mapping[str, Place], most: int) -> Iterator[tuple[int, int]]:
    """Yield ranges of columns, cut where the column to the right hangs nearest to the supply."""
    tops: dict[int, int] = {}
    for place in places.values():
        tops[place.column] = min(place.layer, tops.get(place.column, place.layer))
    start = 0
    while len(tops) - start > most:
        earliest = start + most // 2 + 1
        end = max(range(earliest, start + most + 1), key=lambda column: (-tops[column], column))
        yield start, end
        start = end
    yield start, len(tops)


def _rows(band: Mapping[str, Place], heights: Mapping[str, float], height: float) -> Iterator[tuple[str, ...]]:
    layers: dict[int, list[str]] = {}
    for name, place in band.items():
        layers.setdefault(place.layer, []).append(name)
    sheet: list[str] = []
    taken = 0.0
    for layer in sorted(layers):
        needed = max(heights[name] for name in layers[layer]) + _BETWEEN
        if sheet and taken + needed > height:
            yield tuple(sheet)
            sheet, taken = [], 0.0
        sheet += layers[layer]
        taken += needed
    yield tuple(sheet)
