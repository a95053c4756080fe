"""The width of text, measured in the font that is printed, so that nothing has to be clipped.

A browser may set the text in another of the named fonts, a little wider: what is wrapped for it gets less room.
"""

import re
from functools import lru_cache
from importlib import resources
from io import BytesIO
from typing import Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR: Final = "ReportSans"
BOLD: Final = "ReportSans-Bold"
_FILES: Final = {REGULAR: "DejaVuSansCondensed.ttf", BOLD: "DejaVuSansCondensed-Bold.ttf"}

#: Characters that no font sets as a mark of their own: they lead a reader to take one id for another.
_UNSEEN: Final = re.compile(r"[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff]")
_WORD: Final = re.compile(r"\S+\s*")
_JOINT: Final = "-/_.:,;+"
_UNITS_PER_EM: Final = 1000


@lru_cache(maxsize=1)
def fonts() -> dict[str, TTFont]:
    """Return the two fonts by name, known to reportlab from now on."""
    found = {}
    for name, file in _FILES.items():
        data = resources.files("sccr.nameplate").joinpath("fonts", file).read_bytes()  # shipped once, with its licence
        found[name] = TTFont(name, BytesIO(data))
        pdfmetrics.registerFont(found[name])
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)
    return found


@lru_cache(maxsize=2)
def _advances(bold: bool) -> dict[int, int]:
    widths: dict[int, int] = fonts()[BOLD if bold else REGULAR].face.charWidths
    return widths


def width(text: str, size: float, bold: bool = False) -> float:
    """Return how wide a text is, in the unit of `size`, its height in ems. A foreign character takes a whole em."""
    advances = _advances(bold)
    return sum(advances.get(ord(c), _UNITS_PER_EM) for c in text) * size / _UNITS_PER_EM


def spelled(text: str) -> str:
    """Return a text with what the font has no sign for written as its code point: <U+4E2D>."""
    advances = _advances(False)
    if all(ord(c) in advances for c in text) and not _UNSEEN.search(text):
        return text
    return "".join(c if ord(c) in advances and not _UNSEEN.match(c) else f"<U+{ord(c):04X}>" for c in text)


def wrapped(text: str, room: float, size: float, bold: bool = False) -> list[str]:
    """Return a text as lines not wider than `room`: broken between words, and inside a word that is too long."""
    lines: list[str] = []
    line = ""
    for word in _WORD.findall(text):
        if line and width(line + word.rstrip(), size, bold) <= room:
            line += word
            continue
        if line:
            lines.append(line.rstrip())
        while width(word.rstrip(), size, bold) > room and len(word.rstrip()) > 1:
            cut = _longest(word.rstrip(), room, size, bold)
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return [*lines, line.rstrip()] if line else lines


def _longest(word: str, room: float, size: float, bold: bool) -> int:
    """Return how many characters of a word fit, at least one; behind a joint of it where one is near the end."""
    fits = 1
    while fits < len(word) and width(word[: fits + 1], size, bold) <= room:
        fits += 1
    joint = max(word.rfind(mark, 0, fits) for mark in _JOINT) + 1
    return joint if joint > fits // 2 else fits
