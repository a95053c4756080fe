"""The wires of a sheet as they are drawn: thin ones, the path to what holds the rating as double ones, and joints."""

from collections.abc import Iterator
from collections.abc import Sequence
from typing import Final

from sccr.report.diagram.labels import SMALL
from sccr.report.diagram.lettering import width
from sccr.report.diagram.nets import Net
from sccr.report.diagram.nets import Plan
from sccr.report.diagram.one_line import OneLine
from sccr.report.diagram.routing import CLEAR
from sccr.report.diagram.routing import TEXT
from sccr.report.diagram.routing import Routed
from sccr.report.diagram.routing import Run
from sccr.report.diagram.routing import ways
from sccr.report.diagram.scene import BLACK
from sccr.report.diagram.scene import MEDIUM
from sccr.report.diagram.scene import THIN
from sccr.report.diagram.scene import WHITE
from sccr.report.diagram.scene import Circle
from sccr.report.diagram.scene import Group
from sccr.report.diagram.scene import Item
from sccr.report.diagram.scene import Line
from sccr.report.diagram.scene import Point
from sccr.report.diagram.scene import Words
from sccr.report.diagram.symbols import lower_terminal

#: A path is a heavy line with a white core [mm]: two lines to the eye, without any colour.
_HEAVY: Final = 1.3
_CORE: Final = 0.6
_JOINT: Final = 0.55
_BAR: Final = 0.8
_ARROW: Final = 1.6

Drawn = tuple[Net, str | None, tuple[Point, ...]]


def wires(sheet: Routed, plan: Plan, shown: OneLine) -> Iterator[Group]:
    """Yield the wires of a sheet, from the bottom up."""
    drawn = [(net, name, _from_terminal(net, way, shown)) for net, name, way in ways(sheet, plan)]
    yield Group(tuple(Line(way, MEDIUM) for _, _, way in drawn), ("wire",))
    heavy = [way for net, name, way in drawn if _on_path(plan, shown, net, name)]
    if heavy:
        path: list[Item] = [Line(way, _HEAVY) for way in heavy]
        yield Group((*path, *(Line(way, _CORE, WHITE) for way in heavy)), ("wire", "path"))
    yield Group((*_bars(sheet, drawn), *_joints(sheet, drawn)), ("joint",))
    for net, run in sheet.trunks:
        if run is not None and (run.lines or run.to_lines):
            yield Group(tuple(_elsewhere(net, run, sheet.width)), ("elsewhere",))


def _from_terminal(net: Net, way: tuple[Point, ...], shown: OneLine) -> tuple[Point, ...]:
    """Return a way that begins at the lower terminal of its source."""
    if not net.here:
        return way
    x, y = way[0]
    return ((x, y + lower_terminal(shown.nodes[net.sources[0]].kind)), *way[1:])


def _on_path(plan: Plan, shown: OneLine, net: Net, name: str | None) -> bool:
    fed = net.beyond if name is None else (name,)
    sources = [source for source in net.sources if source in shown.path]
    return any(each in shown.path and source in plan.fed_from[each] for each in fed for source in sources)


def _bars(sheet: Routed, drawn: Sequence[Drawn]) -> Iterator[Line]:
    """Yield the bar at which several sources of one node arrive, each by its own wire."""
    arriving: dict[str, list[Point]] = {}
    for _, name, way in drawn:
        if name is not None:
            arriving.setdefault(name, []).append(way[-1])
    for name, points in arriving.items():
        if len(points) > 1:
            sides = [sheet.x[name], *(x for x, _ in points)]
            yield Line(((min(sides) - _BAR / 2, points[0][1]), (max(sides) + _BAR / 2, points[0][1])), _BAR)


def _joints(sheet: Routed, drawn: Sequence[Drawn]) -> Iterator[Circle]:
    """Yield a dot wherever three pieces of one wire meet."""
    points = {point for net, run in sheet.trunks if run is not None for point in _taps(sheet, net, run, drawn)}
    for x, y in sorted(points):
        yield Circle(x, y, _JOINT, THIN, BLACK)


def _taps(sheet: Routed, net: Net, run: Run, drawn: Sequence[Drawn]) -> Iterator[Point]:
    """Yield where the ways of a net leave its run, and where its source stands upon it."""
    source = sheet.x[net.sources[0]] if net.here else None
    down = {way[2 if net.here else 1][0] for other, name, way in drawn if other is net and name is not None}
    for x in {*down, *([] if source is None else [source])}:
        pieces = (x in down) + (x == source) + (run.start < x) + (x < run.end)
        if pieces > 2:
            yield x, run.y


def _elsewhere(net: Net, run: Run, right: float) -> Iterator[Item]:
    """Yield arrows at the edges of the sheet, and above the wire what stands on which other sheet."""
    baseline = run.y - 0.7 - CLEAR - TEXT * (len(run.lines) + len(run.to_lines) - 1)
    for place, text in enumerate((*run.lines, *run.to_lines)):
        y = baseline + TEXT * place
        comes = place < len(run.lines)
        x, anchor = (run.start + 2.2, "start") if comes else (right - 2.2, "end")
        taken = width(text, SMALL) * 1.05
        left = x if comes else x - taken
        corners = ((left, y - SMALL), (left + taken, y - SMALL), (left + taken, y + CLEAR), (left, y + CLEAR))
        yield Line((*corners, corners[0]), 0, WHITE, fill=WHITE)
        yield Words(x, y, text, SMALL, anchor=anchor)
    if not net.here:
        yield _arrow(run.start + _ARROW, run.y)
    if net.beyond:
        yield _arrow(right, run.y)


def _arrow(x: float, y: float) -> Line:
    points = ((x - _ARROW, y - 0.8), (x, y), (x - _ARROW, y + 0.8), (x - _ARROW, y - 0.8))
    return Line(points, THIN, BLACK, fill=BLACK)
