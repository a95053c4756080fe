"""What the diagram shows: supplies and components, what feeds each, and which of them lead to what holds the rating."""

from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field
from enum import StrEnum
from typing import Any
from typing import Final

from sccr.report.diagram.graph import in_order
from sccr.report.diagram.graph import with_line_side
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
    written = {node.id: node for node in _nodes(document, kinds)}
    fed_from = {name: node.fed_from for name, node in written.items()}
    nodes = {name: written[name] for name in in_order(fed_from)}
    marks = {limit.component: Mark.LIMITS for limit in rating.limited_by}
    errors = (finding.component for finding in rating.findings if finding.severity == "error")
    marks |= {name: Mark.WITHHOLDS for name in errors if name is not None and name in nodes}
    return OneLine(nodes, marks, with_line_side(fed_from, marks))


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
