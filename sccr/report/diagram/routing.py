"""The ways of the wires on a sheet: across in channels between the layers, around others in gutters between columns."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sccr.report.diagram.labels import SMALL
from sccr.report.diagram.lettering import wrapped
from sccr.report.diagram.nets import Net
from sccr.report.diagram.nets import Plan
from sccr.report.diagram.nets import is_straight

#: From the left side of a column to its wire, and from there to its right side [mm].
LEFT: Final = 4.8
RIGHT: Final = 30.6
LANE: Final = 1.6
#: How far to either side of its node several wires may arrive [mm].
_SPREAD: Final = 4.0
_TRACK: Final = 2.0
_STUB: Final = 2.5
_GAP: Final = 4.0
#: A line of text above a run, and what stays free between it and the run [mm].
TEXT: Final = 2.9
CLEAR: Final = 0.8
#: What is left beside the lines that name other sheets [mm].
_INDENT: Final = 4.0


@dataclass(slots=True)
class Run:
    """A horizontal piece of a wire from x to x [mm], and what is written above it; `y` once it has its track."""

    channel: int
    start: float
    end: float
    lines: tuple[str, ...] = ()
    to_lines: tuple[str, ...] = ()
    y: float = 0.0

    @property
    def room(self) -> float:
        """Return the height that it needs [mm]."""
        lines = len(self.lines) + len(self.to_lines)
        return _TRACK + (TEXT * lines + CLEAR if lines else 0)


@dataclass(slots=True)
class Routed:
    """The ways on a sheet [mm]: x of each node, y of each layer, and the runs of each net.

    `terminals` and `lanes` say, by the number of a net and a node that it feeds, where the wire arrives at the node,
    and where in the gutter it goes around others.
    """

    width: float
    height: float
    x: Mapping[str, float]
    y: Mapping[int, float]
    trunks: list[tuple[Net, Run | None]]
    terminals: Mapping[tuple[int, str], float]
    lanes: Mapping[tuple[int, str], float]
    entries: Mapping[tuple[int, str], Run]


def routed(plan: Plan, names: Sequence[str], heights: Mapping[str, float], found: Sequence[Net]) -> Routed:
    """Return the ways of the nets of a sheet; `heights` [mm] are those of the nodes with their lettering."""
    x, lanes, width = _across(plan, names, found)
    terminals = _terminals(plan, found, x)
    reached = {**terminals, **lanes}
    trunks = [(net, _trunk(plan, number, net, x, reached, width)) for number, net in enumerate(found)]
    entries = {
        (number, name): Run(plan.places[name].layer - 1, lanes[number, name], terminals[number, name])
        for number, net in enumerate(found)
        for name in net.feeds
        if name in net.stepped
    }
    runs = [run for _, run in trunks if run is not None] + list(entries.values())
    y, height = _down(plan, names, heights, runs)
    return Routed(width, height, x, y, trunks, terminals, lanes, entries)


def _across(
    plan: Plan, names: Sequence[str], found: Sequence[Net]
) -> tuple[dict[str, float], dict[tuple[int, str], float], float]:
    """Return x of the nodes, x of the lanes that stand in the gutters, and the width."""
    stepped: dict[int, list[tuple[int, str]]] = {}
    for number, net in enumerate(found):
        for name in net.feeds:
            if name in net.stepped:
                stepped.setdefault(plan.places[name].column, []).append((number, name))
    lanes: dict[tuple[int, str], float] = {}
    at: dict[int, float] = {}
    side = 0.0
    for column in sorted({plan.places[name].column for name in names}):
        for place, link in enumerate(stepped.get(column, ()), start=1):
            lanes[link] = side + LANE * place
        side += LANE * len(stepped.get(column, ())) + LEFT
        at[column] = side
        side += RIGHT
    return {name: at[plan.places[name].column] for name in names}, lanes, side


def _terminals(plan: Plan, found: Sequence[Net], x: Mapping[str, float]) -> dict[tuple[int, str], float]:
    """Return where the wires of the nets arrive at the nodes: side by side where several do.

    The one from the source right above stays in the middle.
    """
    arriving: dict[str, list[int]] = {}
    for number, net in enumerate(found):
        for name in net.feeds:
            arriving.setdefault(name, []).append(number)
    terminals: dict[tuple[int, str], float] = {}
    for name, numbers in arriving.items():
        others = [number for number in numbers if plan.places[name].below not in found[number].sources]
        right = [
            n for n in others if found[n].here and name not in found[n].stepped and x[found[n].sources[0]] > x[name]
        ]
        left = [n for n in others if n not in right]
        terminals.update({(n, name): x[name] for n in numbers})
        for side, ordered in ((-1, left), (1, right)):
            step = side * min(LANE, _SPREAD / max(1, len(ordered)))
            terminals.update({(n, name): x[name] + step * place for place, n in enumerate(ordered, start=1)})
    return terminals


def _trunk(
    plan: Plan,
    number: int,
    net: Net,
    x: Mapping[str, float],
    reached: Mapping[tuple[int, str], float],
    width: float,
) -> Run | None:
    if is_straight(plan, net):
        return None
    ends = [reached[number, name] for name in net.feeds]
    ends.append(x[net.sources[0]] if net.here else 0.0)
    lines = () if net.here else _lines("from", plan, net.sources, width)
    to_lines = _lines(f"{plan.written[net.sources[0]]} to", plan, net.beyond, width) if net.beyond else ()
    return Run(net.channel, min(ends), width if net.beyond else max(ends), lines, to_lines)


_NAMED: Final = 4


def _lines(word: str, plan: Plan, names: Sequence[str], width: float) -> tuple[str, ...]:
    """Return what is written where a wire comes from other sheets or goes to them."""
    shown = [f"{plan.written[name]} (sheet {plan.sheet[name]})" for name in names[:_NAMED]]
    if len(names) > _NAMED:
        sheets = sorted({plan.sheet[name] for name in names[_NAMED:]})
        pages = str(sheets[0]) if len(sheets) == 1 else f"{sheets[0]} to {sheets[-1]}"
        shown.append(f"{len(names) - _NAMED} more (sheet {pages})")
    return tuple(wrapped(f"{word} {', '.join(shown)}", width - _INDENT, SMALL))


def _down(
    plan: Plan, names: Sequence[str], heights: Mapping[str, float], runs: Sequence[Run]
) -> tuple[dict[int, float], float]:
    """Return y of the layers, and the height; the runs get their y."""
    rows: dict[int, float] = {}
    for name in names:
        layer = plan.places[name].layer
        rows[layer] = max(heights[name], rows.get(layer, 0.0))
    channels: dict[int, list[Run]] = {}
    for run in runs:
        channels.setdefault(run.channel, []).append(run)
    y: dict[int, float] = {}
    at = 1.0
    for layer in sorted({*rows, *channels}):
        if layer in rows:
            y[layer] = at
            at += rows[layer]
        at = _tracks(channels[layer], at) if layer in channels else at + _GAP
    return y, at


def _tracks(runs: Sequence[Run], at: float) -> float:
    """Give the runs of a channel that begins at y their tracks, and return where it ends."""
    tracks: list[list[Run]] = []
    for run in sorted(runs, key=lambda run: (not (run.lines or run.to_lines), run.start, -run.end)):
        track = next((each for each in tracks if all(_apart(run, other) for other in each)), None)
        if track is None:
            tracks.append([run])
        else:
            track.append(run)
    y = at + _STUB - _TRACK
    for track in tracks:
        y += max(run.room for run in track)
        for run in track:
            run.y = y
    return y + _STUB


def _apart(one: Run, other: Run) -> bool:
    """Return whether two runs can share a track; one with lettering needs it for itself."""
    if one.lines or one.to_lines or other.lines or other.to_lines:
        return False
    return one.end + LANE < other.start or other.end + LANE < one.start


def ways(routed_sheet: Routed, plan: Plan) -> Iterator[tuple[Net, str | None, tuple[tuple[float, float], ...]]]:
    """Yield for each net the way from its source to each node, and to the edge for what stands on other sheets."""
    for number, (net, run) in enumerate(routed_sheet.trunks):
        for name in net.feeds:
            yield net, name, tuple(_way(routed_sheet, plan, number, net, run, name))
        if net.beyond and run is not None:
            start = _start(routed_sheet, plan, net, run)
            yield net, None, (*start, (routed_sheet.width, run.y))


def _start(sheet: Routed, plan: Plan, net: Net, run: Run) -> tuple[tuple[float, float], ...]:
    if not net.here:
        return ((0.0, run.y),)
    source = net.sources[0]
    return ((sheet.x[source], sheet.y[plan.places[source].layer]), (sheet.x[source], run.y))


def _way(sheet: Routed, plan: Plan, number: int, net: Net, run: Run | None, name: str) -> Iterator[tuple[float, float]]:
    terminal = sheet.terminals[number, name]
    if run is None:
        yield sheet.x[net.sources[0]], sheet.y[plan.places[net.sources[0]].layer]
    else:
        yield from _start(sheet, plan, net, run)
        if name in net.stepped:
            lane, entry = sheet.lanes[number, name], sheet.entries[number, name]
            yield from ((lane, run.y), (lane, entry.y), (terminal, entry.y))
        else:
            yield terminal, run.y
    yield terminal, sheet.y[plan.places[name].layer]
