"""Where each node stands: its layer by networkx, its column so that a tree crosses nothing.

A column holds one chain: the first of what a node feeds stands below it, each of the others opens a column to the
right. A node that several feed is placed when the last of them is, so that its sources stand side by side.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from sccr.report.diagram.graph import layers
from sccr.report.diagram.one_line import Node


@dataclass(frozen=True, slots=True)
class Place:
    """The cell of a node, and the source below which it was placed, None for a supply."""

    column: int
    layer: int
    below: str | None


def placed(nodes: Mapping[str, Node]) -> dict[str, Place]:
    """Return the place of every node; `nodes` stand each after whatever feeds it."""
    feeds: dict[str, list[str]] = {name: [] for name in nodes}
    for name, node in nodes.items():
        for source in node.fed_from:
            feeds[source].append(name)
    layer = layers({name: node.fed_from for name, node in nodes.items()})
    columns, below = _columns(nodes, feeds)
    return {name: Place(columns[name], layer[name], below[name]) for name in nodes}


def _columns(nodes: Mapping[str, Node], feeds: Mapping[str, list[str]]) -> tuple[dict[str, int], dict[str, str | None]]:
    unplaced = {name: len(node.fed_from) for name, node in nodes.items()}
    columns: dict[str, int] = {}
    below: dict[str, str | None] = {}
    continued: set[str] = set()
    opened = 0
    waiting: list[tuple[str, str | None]] = [(name, None) for name in reversed(list(nodes)) if not unplaced[name]]
    while waiting:
        name, source = waiting.pop()
        if name in columns or unplaced[name]:
            continue
        if source is None or source in continued:
            columns[name] = opened
            opened += 1
        else:
            columns[name] = columns[source]
            continued.add(source)
        below[name] = source
        for fed in feeds[name]:
            unplaced[fed] -= 1
        waiting += [(fed, name) for fed in reversed(feeds[name])]
    return columns, below
