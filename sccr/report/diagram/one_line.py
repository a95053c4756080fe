"""What the diagram shows: supplies and components, what feeds each, and which of them lead to what holds the rating."""

from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field
from enum import StrEnum
from heapq import heappop
from heapq import heappush
from typing import Any
from typing import Final

from sccr.result import Rating

SUPPLY: Final = "supply"
DC_SUPPLY: Final = "dc_supply"


class Mark(StrEnum):
    """Why a component stands out."""

    LIMITS = "limits"
    WITHHOLDS = "withholds"


@dataclass(frozen=True, slots=True)
class Node:
    """A supply, the protection ahead of it, or a component: its id, kind, and the ids of what feeds it.

    `stated` is what the document says of it; `ahead` that it stands ahead of the panel.
    """

    id: str
    kind: str
    fed_from: tuple[str, ...]
    stated: Mapping[str, Any]
    ahead: bool = False

    @property
    def supply(self) -> bool:
        """Whether it is a supply, not a device."""
        return self.kind in (SUPPLY, DC_SUPPLY)


@dataclass(frozen=True, slots=True)
class OneLine:
    """The nodes, each after whatever feeds it; the marked ones; and everything on their line side with them.

    `folded` are the nodes that are not shown, by the one that stands for them.
    """

    nodes: Mapping[str, Node]
    marks: Mapping[str, Mark]
    path: frozenset[str]
    folded: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def one_line(rating: Rating, document: Mapping[str, Any]) -> OneLine:
    """Return the one-line diagram of a rated document."""
    kinds = {component.id: component.kind for component in rating.components}  # of its part, where only that is named
    nodes = _ordered({node.id: node for node in _nodes(document, kinds)})
    marks = {limit.component: Mark.LIMITS for limit in rating.limited_by}
    errors = (finding.component for finding in rating.findings if finding.severity == "error")
    marks |= {name: Mark.WITHHOLDS for name in errors if name is not None and name in nodes}
    return OneLine(nodes, marks, frozenset(_line_side(nodes, marks)))


def _nodes(document: Mapping[str, Any], kinds: Mapping[str, str]) -> Iterator[Node]:
    first: dict[str, str] = {}
    for supply in document["supplies"]:
        name = supply["id"]
        yield Node(name, DC_SUPPLY if supply["system"] == "dc" else SUPPLY, (), supply, ahead=True)
        upstream = supply.get("upstream_protection")
        if upstream is not None:
            first[name] = f"{name}:upstream"
            yield Node(first[name], upstream["device"], (name,), upstream, ahead=True)
    for component in document["components"]:
        written = component["fed_from"]
        sources = [written] if isinstance(written, str) else written
        feeding = (_source(name, kinds, first) for name in sources)
        yield Node(component["id"], kinds[component["id"]], tuple(dict.fromkeys(feeding)), component)


def _source(name: str, known: Mapping[str, str], first: Mapping[str, str]) -> str:
    """Return the component or supply of a name in `fed_from`: '-TA1/2' is a winding of transformer '-TA1'."""
    if name in known:
        return name
    owner, slash, winding = name.rpartition("/")
    if slash and owner in known and winding.isdecimal():
        return owner
    return first.get(name, name)


def _ordered(nodes: Mapping[str, Node]) -> dict[str, Node]:
    """Return the nodes from the supplies to the loads; among equals as they are written."""
    place = {name: number for number, name in enumerate(nodes)}
    names = list(nodes)
    feeds: dict[str, list[str]] = {name: [] for name in nodes}
    waiting = {name: len(node.fed_from) for name, node in nodes.items()}
    for name, node in nodes.items():
        for source in node.fed_from:
            feeds[source].append(name)
    ready = [place[name] for name, count in waiting.items() if not count]
    ordered: dict[str, Node] = {}
    while ready:
        name = names[heappop(ready)]
        ordered[name] = nodes[name]
        for fed in feeds[name]:
            waiting[fed] -= 1
            if not waiting[fed]:
                heappush(ready, place[fed])
    return ordered


def _line_side(nodes: Mapping[str, Node], marks: Mapping[str, Mark]) -> set[str]:
    """Return the marked nodes and everything ahead of them."""
    found: set[str] = set()
    waiting = [name for name in marks if name in nodes]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += nodes[name].fed_from
    return found
