"""The one-line diagram as a graph: its order, its layers and what stands ahead of a node are found by networkx.

The one module of the diagram that knows networkx; names go in and come out.
"""

from collections.abc import Iterable
from collections.abc import Mapping

import networkx as nx

#: What feeds each node.
Feeds = Mapping[str, tuple[str, ...]]


def in_order(fed_from: Feeds) -> list[str]:
    """Return the nodes from the supplies to the loads; among equals as they are written."""
    place = {name: number for number, name in enumerate(fed_from)}
    return list(nx.lexicographical_topological_sort(_graph(fed_from), key=place.__getitem__))


def layers(fed_from: Feeds) -> dict[str, int]:
    """Return the layer of each node: 0 for what nothing feeds, else one below the lowest of what feeds it."""
    generations = nx.topological_generations(_graph(fed_from))
    return {name: layer for layer, generation in enumerate(generations) for name in generation}


def with_line_side(fed_from: Feeds, names: Iterable[str]) -> frozenset[str]:
    """Return the named nodes and everything ahead of them; a name that is no node is passed over."""
    graph = _graph(fed_from).reverse(copy=False)
    sources = [name for name in names if name in fed_from]
    return frozenset(name for layer in nx.bfs_layers(graph, sources) for name in layer)


def _graph(fed_from: Feeds) -> "nx.DiGraph[str]":
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(fed_from)
    graph.add_edges_from((source, name) for name, sources in fed_from.items() for source in sources)
    return graph
