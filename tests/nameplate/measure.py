"""What a plate in SVG really shows, measured from its outlines alone: boxes of ink, heights of letters, the code."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from xml.etree import ElementTree

from fontTools.pens.boundsPen import BoundsPen
from fontTools.svgLib.path import parse_path

Box = tuple[float, float, float, float]

#: Letters of which outlines begin on the baseline and end at the height of a capital.
FLAT_CAPITALS = "ABDEFHIKLMNPRTVWXYZ"


@dataclass(frozen=True)
class Letter:
    character: str
    box: Box  # left, top, right, bottom [mm]

    @property
    def height(self) -> float:
        return self.box[3] - self.box[1]


@dataclass(frozen=True)
class Text:
    text: str
    letters: tuple[Letter, ...]
    capitals: float

    @property
    def box(self) -> Box:
        boxes = [letter.box for letter in self.letters]
        return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))


@dataclass(frozen=True)
class Shown:
    """Everything on a plate [mm]; `code`: the box of the code with its dark modules only, if there is one."""

    width: float
    height: float
    frame: Box
    texts: tuple[Text, ...]
    rules: tuple[Box, ...]
    code: Box | None

    @property
    def words(self) -> str:
        """All that is written, in order, without its spaces."""
        return "".join(text.text for text in self.texts).replace(" ", "")

    def faults(self) -> list[str]:
        """What reaches over the frame or onto something else."""
        things: list[tuple[str, Box]] = [(text.text, text.box) for text in self.texts]
        things += [("rule", rule) for rule in self.rules]
        if self.code is not None:
            things.append(("code", self.code))
        outside = [f"{name} is outside" for name, box in things if not _within(box, self.frame)]
        return outside + [f"{a[0]} is on {b[0]}" for a, b in combinations(things, 2) if _meet(a[1], b[1])]


def shown(svg: str) -> Shown:
    """Measure a plate."""
    root = ElementTree.fromstring(svg)
    paper, border = [e for e in root if e.tag.endswith("rect")]
    left, top, width, height, weight = (float(border.get(k, "")) for k in ("x", "y", "width", "height", "stroke-width"))
    inside = (left + weight / 2, top + weight / 2, left + width - weight / 2, top + height - weight / 2)
    paths = [e for e in root if e.tag.endswith("path")]
    codes = [_bounds(e.get("d", "")) for e in paths if "data-code" in e.attrib]
    rules = [_bounds(e.get("d", "")) for e in paths if "data-code" not in e.attrib]
    texts = tuple(_text(e) for e in root if e.tag.endswith("}g"))
    code = codes[0] if codes else None
    return Shown(float(paper.get("width", "")), float(paper.get("height", "")), inside, texts, tuple(rules), code)


def _text(group: ElementTree.Element) -> Text:
    move, scale = (_numbers(part) for part in group.get("transform", "").split(") "))
    text = group.get("aria-label", "")
    characters = [c for c in text if c != " " and c != "\u00a0"]
    assert len(characters) == len(group), text
    letters = []
    for character, path in zip(characters, group, strict=True):
        across = _numbers(path.get("transform", ""))[0]
        x0, y0, x1, y1 = _bounds(path.get("d", ""))
        xs = [move[0] + scale[0] * (across + x) for x in (x0, x1)]
        ys = [move[1] + scale[1] * y for y in (y0, y1)]
        letters.append(Letter(character, (min(xs), min(ys), max(xs), max(ys))))
    return Text(text, tuple(letters), float(group.get("data-capitals", "")))


def flat_capitals(plate: Shown) -> Iterator[tuple[Letter, Text]]:
    """Every letter whose height is that of a capital, and where it stands."""
    for text in plate.texts:
        yield from ((letter, text) for letter in text.letters if letter.character in FLAT_CAPITALS)


def _numbers(transform: str) -> list[float]:
    return [float(number) for number in transform.strip(")").split("(")[1].split()]


@cache
def _bounds(path: str) -> Box:
    pen = BoundsPen(None)
    parse_path(path, pen)
    assert pen.bounds is not None
    left, top, right, bottom = pen.bounds
    return left, top, right, bottom


def _within(box: Box, around: Box) -> bool:
    return around[0] <= box[0] and around[1] <= box[1] and box[2] <= around[2] and box[3] <= around[3]


def _meet(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge; letters that bear over their neighbour's box do not count."""
    slack = 0.01
    return (
        one[0] + slack < other[2]
        and other[0] + slack < one[2]
        and one[1] + slack < other[3]
        and other[1] + slack < one[3]
    )
