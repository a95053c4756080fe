"""Branches folded into the node that they hang on, so that a large diagram shows what is looked for."""

from collections.abc import Collection
from collections.abc import Mapping
from dataclasses import replace

from sccr.report.diagram.one_line import Node
from sccr.report.diagram.one_line import OneLine


def collapsed(shown: OneLine, names: Collection[str]) -> OneLine:
    """Return the diagram without what is fed through the named nodes alone; who is no node there is passed over."""
    stands_for = _stands_for(shown.nodes, set(names))
    folded: dict[str, tuple[str, ...]] = {}
    for hidden, owner in stands_for.items():
        folded[owner] = (*folded.get(owner, ()), hidden)
    kept = {name: _rewired(node, stands_for) for name, node in shown.nodes.items() if name not in stands_for}
    return OneLine(kept, shown.marks, shown.path, folded)


def _stands_for(nodes: Mapping[str, Node], names: set[str]) -> dict[str, str]:
    """Return for each node that is hidden the one that stands for it; `nodes` stand each after whatever feeds it."""
    found: dict[str, str] = {}
    for name, node in nodes.items():
        if node.fed_from and all(source in names or source in found for source in node.fed_from):
            first = node.fed_from[0]
            found[name] = found.get(first, first)
    return found


def _rewired(node: Node, stands_for: Mapping[str, str]) -> Node:
    """Return a node that is fed by what stands for its hidden sources."""
    return replace(node, fed_from=tuple(dict.fromkeys(stands_for.get(name, name) for name in node.fed_from)))
