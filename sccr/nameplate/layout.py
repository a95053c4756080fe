"""A nameplate laid out on a plate: nothing is clipped, no letter is smaller than the minimum.

In this order until it fits: letters smaller, down to `LEAST_CAPITALS`, a text that is still too long for its line
wrapped; lines closer; names run in before their values; the code smaller; what may be left off left off, one after
the other. What must stand on the plate and still does not fit is an error that says which size is needed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from dataclasses import replace
from math import ceil
from typing import Final

from sccr.nameplate.blocks import Manner
from sccr.nameplate.code import DOT
from sccr.nameplate.code import LEAST_DOTS
from sccr.nameplate.code import QUIET
from sccr.nameplate.code import USUAL_DOTS
from sccr.nameplate.code import Modules
from sccr.nameplate.code import Symbology
from sccr.nameplate.code import modules
from sccr.nameplate.contents import OPTIONAL
from sccr.nameplate.contents import contents
from sccr.nameplate.drawing import Drawing
from sccr.nameplate.drawing import Symbol
from sccr.nameplate.errors import DoesNotFit
from sccr.nameplate.fields import Nameplate
from sccr.nameplate.setting import CODE_GAP
from sccr.nameplate.setting import Setting
from sccr.nameplate.setting import frame
from sccr.nameplate.setting import margin
from sccr.nameplate.setting import scale_of
from sccr.nameplate.size import USUAL
from sccr.nameplate.size import Size

#: The least share of the width that must be left beside a code.
_BESIDE: Final = 0.4
#: Below this scale every letter has its least height.
_LEAST_SCALE: Final = 0.44
_STEP: Final = 0.95
#: The manners in which a plate is set, at their least letters, the preferred first.
_MANNERS: Final = (
    Manner(_LEAST_SCALE),
    Manner(_LEAST_SCALE, short=True),
    Manner(_LEAST_SCALE, short=True, run_in=True),
)


def plate(nameplate: Nameplate, size: Size | None = None, symbology: Symbology | None = None) -> Drawing:
    """Return a nameplate laid out on a plate.

    Parameters
    ----------
    nameplate : Nameplate
    size : Size
        Of the plate [mm].
    symbology : Symbology, optional
        Of the code with the id of the record and the digest; without one, or without a record, there is no code.

    Raises
    ------
    DoesNotFit
        With the size of the same proportions that is needed.
    Unletterable
        Where a text holds a character that the font has no letter for.
    """
    size = size or USUAL
    code = None
    if symbology is not None and nameplate.record is not None:
        code = _Code(modules(nameplate.record.code_text, symbology), QUIET[symbology])
    for attempt in _tries(nameplate, size, code):
        found = attempt.drawn()
        if found is not None:
            lines, rules = found
            title = f"Nameplate of panel {nameplate.identity.designation}"
            return Drawing(size, title, frame(size), tuple(lines), tuple(rules), attempt.symbol)
    raise DoesNotFit(size, _needed(nameplate, size, code), size.largest)


@dataclass(frozen=True, slots=True)
class _Code:
    modules: Modules
    quiet: int


def _tries(nameplate: Nameplate, size: Size, code: _Code | None) -> Iterator[Setting]:
    """Yield the ways to lay the plate out, the preferred first; of those that cannot fit only the least letters."""
    for left_off in range(len(OPTIONAL) + 1):
        for symbol in _symbols(size, code):
            for manner in _MANNERS:
                sections = contents(nameplate, OPTIONAL[:left_off], manner.run_in)
                least = Setting(size, sections, symbol, manner)
                if least.drawn() is not None:
                    yield from (replace(least, manner=replace(manner, scale=scale)) for scale in _scales(size))
                    yield least


def _scales(size: Size) -> Iterator[float]:
    scale = scale_of(size)
    while scale > _LEAST_SCALE:
        yield scale
        scale *= _STEP


def _symbols(size: Size, code: _Code | None) -> list[Symbol | None]:
    """Return the code in the upper right corner, on whole dots, the preferred first; none where it takes too much."""
    if code is None:
        return [None]
    most = max(LEAST_DOTS, round(USUAL_DOTS * scale_of(size)))
    found: list[Symbol | None] = []
    for dots in dict.fromkeys((most, (most + LEAST_DOTS) // 2, LEAST_DOTS)):
        module = dots * DOT
        side = (len(code.modules) + 2 * code.quiet) * module
        edge = margin(size)
        x = size.width_mm - edge - side + code.quiet * module
        fits = side + 2 * edge <= size.height_mm
        if fits and (1 - _BESIDE) * (size.width_mm - 2 * edge) >= side + CODE_GAP:
            found.append(Symbol(_on_dots(x), _on_dots(edge) + code.quiet * module, module, code.quiet, code.modules))
    return found


def _on_dots(length: float) -> float:
    return int(length / DOT) * DOT


def _needed(nameplate: Nameplate, size: Size, code: _Code | None) -> Size | None:
    """Return the least size of the same proportions, in whole millimetres of its width, that holds what must be on."""
    sections = {run_in: contents(nameplate, OPTIONAL, run_in) for run_in in (False, True)}

    def fits(tried: Size) -> bool:
        return any(
            Setting(tried, sections[manner.run_in], symbol, manner).drawn() is not None
            for symbol in _symbols(tried, code)
            for manner in _MANNERS
        )

    low, high = size.width_mm, size.largest.width_mm
    if not fits(size.largest):
        return None
    while high - low > 1:
        middle = (low + high) / 2
        low, high = (low, middle) if fits(_like(size, middle)) else (middle, high)
    width = ceil(high)
    while not fits(_like(size, width)):  # what wraps does not shrink steadily
        width += 1
    return _like(size, width)


def _like(size: Size, width: float) -> Size:
    """Return a size of about the same proportions, its height in whole millimetres; no larger than can be made."""
    height = ceil(size.height_mm * width / size.width_mm - 1e-9)
    largest = size.largest
    return Size(min(width, largest.width_mm), min(height, largest.height_mm))
