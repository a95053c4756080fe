"""What is written beside a node: its id, what it is, its value, and what that was taken from."""

from collections.abc import Callable
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from typing import Final

from sccr.report.diagram.lettering import wrapped
from sccr.report.diagram.one_line import Mark
from sccr.report.diagram.one_line import Node
from sccr.report.diagram.one_line import OneLine
from sccr.report.diagram.scene import BLACK
from sccr.report.diagram.scene import GREY
from sccr.report.wording import wording
from sccr.result import ComponentValue
from sccr.result import Rating
from sccr.units import current_text

#: The height of letters [mm], 6.5 pt and 7 pt: common practice on drawings for A4, no source.
SMALL: Final = 2.3
LARGE: Final = 2.5
LEADING: Final = 1.25
#: The room for a line of text beside a symbol [mm].
ROOM: Final = 24.0

FLAGS: Final = {Mark.LIMITS: "LIMITS", Mark.WITHHOLDS: "WITHHOLDS"}


@dataclass(frozen=True, slots=True)
class Label:
    """A line beside a symbol; one that is `framed` stands in a frame of its own."""

    text: str
    size: float = SMALL
    bold: bool = False
    colour: str = BLACK
    framed: bool = False


#: Letters that stand for words, which the names of the kinds write small.
_CAPITALS: Final = {"gfci": "GFCI"}

Spelling = Callable[[str], str]


class Labels:
    """The lines beside each node of a rated document. `spelling` writes a text as the medium can show it."""

    def __init__(self, shown: OneLine, rating: Rating, spelling: Spelling) -> None:
        self._shown = shown
        self._values = {component.id: component for component in rating.components}
        self._supplies = {supply.id: supply.rating for supply in rating.supplies}
        self._found = {c.supply: current_text(c.current) for c in rating.adequacy.supplies}
        self._spelling = spelling
        self._credited = wording(rating).of("credited")

    def of(self, node: Node) -> tuple[Label, ...]:
        """Return the lines beside a node, from the top."""
        return tuple(line for label in self._whole(node) for line in self._folded(label))

    def _folded(self, label: Label) -> Iterator[Label]:
        for text in wrapped(self._spelling(label.text), ROOM, label.size, label.bold):
            yield Label(text, label.size, label.bold, label.colour, label.framed)

    def _whole(self, node: Node) -> Iterator[Label]:
        yield Label(node.id, LARGE, bold=True)
        if node.supply:
            yield from self._supply(node)
        elif node.ahead:
            yield Label(f"{kind_words(node.kind)}, upstream of the panel", colour=GREY)
            yield from _marked(node.stated)
        else:
            yield from self._component(node, self._values[node.id])
        mark = self._shown.marks.get(node.id)
        if mark is not None:
            yield Label(FLAGS[mark], LARGE, bold=True, framed=True)
        yield from self._folded_into(node)

    def _folded_into(self, node: Node) -> Iterator[Label]:
        """Yield how much is folded into a node, and what there stands out: no mark may vanish in a fold."""
        hidden = self._shown.folded.get(node.id, ())
        if hidden:
            yield Label(f"+ {len(hidden)} folded", bold=True)
        for name in hidden:
            if name in self._shown.marks:
                yield Label(f"{FLAGS[self._shown.marks[name]]}: {name}", LARGE, bold=True, framed=True)

    def _supply(self, node: Node) -> Iterator[Label]:
        stated = node.stated
        yield Label(f"{stated['voltage']} {stated['system'].replace('_', ' ')}", colour=GREY)
        available = self._found.get(node.id)
        yield Label("available current not known" if available is None else f"available {available}")
        rating = self._supplies.get(node.id)
        if rating is not None:
            yield Label(f"rating {current_text(rating.current)}", LARGE, bold=True)

    def _component(self, node: Node, value: ComponentValue) -> Iterator[Label]:
        yield Label(kind_words(node.kind), colour=GREY)
        yield from _marked(node.stated)
        if value.value is None:
            yield from _no_value(node, value)
            return
        yield Label(f"{current_text(value.value)}, {value.basis}", bold=True)
        if value.after is not None and value.after != value.value:
            yield Label(f"{self._credited} {current_text(value.after)}", bold=True)


def _marked(stated: Mapping[str, Any]) -> Iterator[Label]:
    """Yield the part, and the amperes and fuse class that the document states."""
    if "part" in stated:
        yield Label(stated["part"], colour=GREY)
    fuse_class = [f"class {stated['fuse_class']}"] if "fuse_class" in stated else []
    shown = ("utilization_category", "ampere_rating", "full_load_current")
    words = [*fuse_class, *(stated[name] for name in shown if name in stated)]
    if words:
        yield Label(", ".join(words), colour=GREY)


def _no_value(node: Node, value: ComponentValue) -> Iterator[Label]:
    if value.basis == "missing":
        yield Label("no value that holds", bold=True)
    elif node.stated.get("location") == "field":
        yield Label("in the field", colour=GREY)
    else:
        yield Label("no rating needed", colour=GREY)


def kind_words(kind: str) -> str:
    """Return a kind as it is read: 'gfci_receptacle' is a 'GFCI receptacle'."""
    return " ".join(_CAPITALS.get(word, word) for word in kind.split("_"))
