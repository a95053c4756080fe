"""The letters of the plate: DejaVu Sans Condensed, regular and bold, shipped with the package, its metrics exact.

Every form of the plate is drawn with the same outlines and the same advances: the SVG holds the outlines, the PDF the
font, and no kerning or ligature stands between them.
"""

import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources
from io import BytesIO
from threading import Lock
from typing import Any
from typing import Final

from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

from sccr.nameplate.errors import Unletterable


class Face(StrEnum):
    """The two faces; the value is the name of the file."""

    REGULAR = "DejaVuSansCondensed"
    BOLD = "DejaVuSansCondensed-Bold"


#: Writing from right to left needs shaping; marks that combine, and what is invisible, do not stand by themselves.
_RIGHT_TO_LEFT: Final = {"R", "AL", "AN"}
_NOT_ALONE: Final = {"Mn", "Mc", "Me", "Cc", "Cf", "Cs", "Co", "Cn"}


@dataclass(frozen=True, slots=True)
class Glyph:
    """One letter in font units, y upward from its baseline: advance, outline, and the box of its ink, if it has any."""

    advance: int
    path: str
    box: tuple[float, float, float, float] | None


class Font:
    """One face, read once. It may be used from several threads."""

    def __init__(self, face: Face) -> None:
        read = TTFont(BytesIO(font_file(face)))
        self._names: dict[int, str] = read.getBestCmap()
        self._advances: dict[str, tuple[int, int]] = read["hmtx"].metrics
        self._outlines: Any = read.getGlyphSet()
        self._glyphs: dict[str, Glyph] = {}
        self._lock = Lock()  # fontTools reads its tables when they are first asked for
        self.units: int = read["head"].unitsPerEm
        capital = self.glyph("H").box
        assert capital is not None
        #: Height of a capital letter [font units].
        self.capitals: float = capital[3]

    def em(self, capitals: float) -> float:
        """Return the size of the font whose capitals have the height given, in the same unit."""
        return capitals * self.units / self.capitals

    def width(self, text: str, capitals: float) -> float:
        """Return the width of a text whose capitals have the height given, in the same unit."""
        advances, names = self._advances, self._names
        return sum([advances[names[ord(c)]][0] for c in text]) * capitals / self.capitals

    def reach(self, text: str) -> tuple[float, float]:
        """Return how far the ink of a text reaches above its baseline and below, in heights of its capitals."""
        boxes = [box for box in (self.glyph(c).box for c in text) if box is not None]
        up, down = max((box[3] for box in boxes), default=0), min((box[1] for box in boxes), default=0)
        return up / self.capitals, -down / self.capitals

    def unletterable(self, text: str) -> list[str]:
        """Return the characters of a text that the face has no letter for that stands by itself."""
        return [c for c in dict.fromkeys(text) if ord(c) not in self._names or not _stands_alone(c)]

    def glyph(self, character: str) -> Glyph:
        """Return the letter of a character."""
        found = self._glyphs.get(character)
        if found is None:
            with self._lock:
                found = self._glyphs[character] = self._read(self._names[ord(character)])
        return found

    def _read(self, name: str) -> Glyph:
        path, bounds = SVGPathPen(self._outlines, ntos=lambda value: f"{value:g}"), BoundsPen(self._outlines)
        for pen in (path, bounds):
            self._outlines[name].draw(pen)
        return Glyph(self._advances[name][0], path.getCommands(), bounds.bounds)


def _stands_alone(character: str) -> bool:
    return (
        unicodedata.bidirectional(character) not in _RIGHT_TO_LEFT and unicodedata.category(character) not in _NOT_ALONE
    )


def font_file(face: Face) -> bytes:
    """Return the file of a face (TrueType)."""
    return resources.files("sccr.nameplate").joinpath(f"fonts/{face.value}.ttf").read_bytes()


@cache
def font(face: Face) -> Font:
    """Return a face, read once."""
    return Font(face)


def lettered(text: str) -> str:
    """Return a text as it is lettered: composed (NFC), its spaces single. Raises Unletterable where it cannot be.

    >>> lettered("Mu\\u0308hle  3")
    'Mühle 3'
    """
    composed = unicodedata.normalize("NFC", " ".join(text.split()))
    missing = dict.fromkeys(c for face in Face for c in font(face).unletterable(composed))
    if missing:
        raise Unletterable(composed, missing)
    return composed
