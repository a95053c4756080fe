"""The one-line diagram of a rating as drawings: whole, or folded into sheets for paper."""

from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from typing import Final

from sccr.report.diagram.collapsing import collapsed
from sccr.report.diagram.folding import folded
from sccr.report.diagram.labels import LEADING
from sccr.report.diagram.labels import Label
from sccr.report.diagram.labels import Labels
from sccr.report.diagram.labels import Spelling
from sccr.report.diagram.labels import kind_words
from sccr.report.diagram.lettering import width
from sccr.report.diagram.nets import Plan
from sccr.report.diagram.nets import nets
from sccr.report.diagram.one_line import Mark
from sccr.report.diagram.one_line import Node
from sccr.report.diagram.one_line import OneLine
from sccr.report.diagram.one_line import one_line
from sccr.report.diagram.placing import placed
from sccr.report.diagram.routing import routed
from sccr.report.diagram.scene import BLACK
from sccr.report.diagram.scene import MEDIUM
from sccr.report.diagram.scene import WHITE
from sccr.report.diagram.scene import Drawing
from sccr.report.diagram.scene import Group
from sccr.report.diagram.scene import Item
from sccr.report.diagram.scene import Line
from sccr.report.diagram.scene import Words
from sccr.report.diagram.scene import moved
from sccr.report.diagram.strokes import HEIGHT
from sccr.report.diagram.symbols import Symbols
from sccr.report.diagram.symbols import symbol
from sccr.report.diagram.wires import wires
from sccr.result import Rating
from sccr.units import current_text

#: From the wire to the lettering, and from the top of a symbol to its first baseline [mm].
_BESIDE: Final = 5.2
_HEAVIER: Final = 1.75
_UNLIMITED: Final = 1_000_000

#: What folds onto A4 and letter alike, upright, with margins of 15 mm: columns, and height [mm].
PAPER_COLUMNS: Final = 5
PAPER_HEIGHT: Final = 215.0


def drawings(
    rating: Rating,
    document: Mapping[str, Any],
    symbols: Symbols = Symbols.ANSI,
    columns: int = PAPER_COLUMNS,
    height: float = PAPER_HEIGHT,
    spelling: Spelling = str,
    folded_at: Collection[str] = (),
) -> list[Drawing]:
    """Return the diagram of a rated document as sheets, at most `columns` wide and about `height` [mm] tall.

    `spelling` writes ids and texts as the medium can show them; what the nodes `folded_at` feed is folded into them.
    """
    shown = collapsed(one_line(rating, document), folded_at)
    labels = dict(_labels(shown, rating, spelling))
    heights = {name: max(HEIGHT, sum(map(_taken, lines)) + 1) for name, lines in labels.items()}
    places = placed(shown.nodes)
    sheets = folded(places, heights, columns, height)
    plan = Plan(
        fed_from={name: node.fed_from for name, node in shown.nodes.items()},
        feeds=_feeds(shown.nodes),
        places=places,
        sheet={name: number for number, names in enumerate(sheets, start=1) for name in names},
        written={name: spelling(name) for name in shown.nodes},
    )
    titles = _titles(shown, rating)
    title = f"One-line diagram of {spelling(rating.panel.get('designation', ''))}"
    return [
        _drawing(shown, plan, names, labels, heights, titles, symbols, _sheet_title(title, number, len(sheets)))
        for number, names in enumerate(sheets, start=1)
    ]


def whole(
    rating: Rating,
    document: Mapping[str, Any],
    symbols: Symbols = Symbols.ANSI,
    folded_at: Collection[str] = (),
) -> Drawing:
    """Return the diagram of a rated document in one piece."""
    return drawings(rating, document, symbols, _UNLIMITED, float(_UNLIMITED), folded_at=folded_at)[0]


def _sheet_title(title: str, number: int, count: int) -> str:
    return title if count == 1 else f"{title}, sheet {number} of {count}"


def _labels(shown: OneLine, rating: Rating, spelling: Spelling) -> Iterator[tuple[str, tuple[Label, ...]]]:
    labels = Labels(shown, rating, spelling)
    for name, node in shown.nodes.items():
        yield name, labels.of(node)


def _feeds(nodes: Mapping[str, Node]) -> dict[str, tuple[str, ...]]:
    feeds: dict[str, list[str]] = {name: [] for name in nodes}
    for name, node in nodes.items():
        for source in node.fed_from:
            feeds[source].append(name)
    return {name: tuple(fed) for name, fed in feeds.items()}


def _titles(shown: OneLine, rating: Rating) -> dict[str, str]:
    """Return a sentence for each node: what it is, its value, and what that was taken from."""
    values = {component.id: component for component in rating.components}
    titles = {}
    for name, node in shown.nodes.items():
        value = values.get(name)
        words = [] if value is None else [kind_words(node.kind)]
        if value is not None and value.value is not None:
            words.append(current_text(value.value))
        if value is not None and value.because:
            words.append(value.because)
        titles[name] = f"{name}: {', '.join(words)}" if words else name
    return titles


def _drawing(
    shown: OneLine,
    plan: Plan,
    names: Sequence[str],
    labels: Mapping[str, tuple[Label, ...]],
    heights: Mapping[str, float],
    titles: Mapping[str, str],
    symbols: Symbols,
    title: str,
) -> Drawing:
    sheet = routed(plan, names, heights, nets(plan, names))
    groups = list(wires(sheet, plan, shown))
    for name in names:
        node = shown.nodes[name]
        x, y = sheet.x[name], sheet.y[plan.places[name].layer]
        items = [*moved(symbol(node.kind, symbols), x, y), *_lettered(labels[name], x + _BESIDE, y)]
        classes = ["component", f"kind-{node.kind.replace('_', '-')}"]
        if name in shown.path:
            classes.append("path")
            items = [*_heavier(items)]
        mark = shown.marks.get(name)
        if mark is not None:
            classes.append(mark.value)
        if name in shown.folded:
            classes.append("folded")
        groups.append(Group(tuple(items), tuple(classes), name, titles[name]))
    return Drawing(sheet.width, sheet.height, tuple(groups), title)


def _heavier(items: Sequence[Item]) -> Iterator[Item]:
    """Yield the items of a symbol on the path with heavier lines."""
    for item in items:
        yield item if isinstance(item, Words) else replace(item, width=item.width * _HEAVIER)


def _taken(label: Label) -> float:
    return label.size * LEADING + (1.0 if label.framed else 0.0)


def _lettered(labels: Sequence[Label], x: float, y: float) -> Iterator[Item]:
    at = y
    for label in labels:
        at += _taken(label)
        if label.framed:
            yield from _flag(label, x, at)
        else:
            yield Words(x, at, label.text, label.size, label.bold, label.colour)


def _flag(label: Label, x: float, y: float) -> Iterator[Item]:
    """Yield white letters on black, which no copier loses."""
    room = width(label.text, label.size, label.bold) * 1.1 + 1.6
    top, bottom = y - label.size * 0.95, y + label.size * 0.3
    corners = ((x, top), (x + room, top), (x + room, bottom), (x, bottom), (x, top))
    yield Line(corners, MEDIUM, BLACK, fill=BLACK)
    yield Words(x + 0.8, y, label.text, label.size, True, WHITE)


LEGEND: Final = {
    Mark.LIMITS: "Double wire: from the supply to what holds the rating down, which is marked LIMITS.",
    Mark.WITHHOLDS: "Double wire: from the supply to what withholds the rating, which is marked WITHHOLDS.",
}


def legend(rating: Rating) -> str:
    """Return what the double wires of the diagram mean, nothing where there are none."""
    if rating.limited_by:
        return LEGEND[Mark.LIMITS]
    errors = any(finding.component is not None for finding in rating.findings if finding.severity == "error")
    return LEGEND[Mark.WITHHOLDS] if errors else ""
