"""Blocks of letters, each laid into a width: on one line if it can, smaller if it must, then on several.

Letters are never smaller than `LEAST_CAPITALS` and a line is never longer than its width: a word that is too long for
a line by itself is broken between any two of its characters.
"""

import re
from collections.abc import Iterable
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from sccr.nameplate.drawing import Line
from sccr.nameplate.font import Face
from sccr.nameplate.font import font
from sccr.nameplate.size import LEAST_CAPITALS

#: Between the columns of a table, at least, on a plate of the usual size, and between fields in one line [mm].
COLUMN_GAP: Final = 3.0
FIELD_GAP: Final = 2.2
#: How far a line reaches above its baseline and below, as multiples of its capitals: room for accents, whether it has
#: any or not; and where room is short, none but for those that it has. Lines that reach further take more.
_RISE: Final = 1.28
_SHORT_RISE: Final = 1.06
_FALL: Final = 0.33
#: Two widths that differ by less are the same [mm].
_NOTHING: Final = 1e-9
#: After which signs a word that is too long is broken first.
_JOINTS: Final = "-/_.,:"
#: Where a text may be broken: at a space, but for that between a number and its unit.
_BREAK: Final = re.compile(r"(?<!\d) | (?!(?:V|A|kA|Hz|hp|kW)\b)")


@dataclass(frozen=True, slots=True)
class Manner:
    """How a plate is set: the scale of its letters, and whether it saves room.

    short: lines stand closer; run_in: the names of fields may stand before their values rather than above.
    """

    scale: float
    short: bool = False
    run_in: bool = False

    def capitals(self, usual: float) -> float:
        """Return the height [mm] of capitals that have the usual height on a plate of the usual size."""
        return max(LEAST_CAPITALS, usual * self.scale)

    @property
    def column_gap(self) -> float:
        """Return the least room between two columns [mm]."""
        return COLUMN_GAP * max(1.0, self.scale)


@dataclass(frozen=True, slots=True)
class Laid:
    """A block as it is laid: its height, and its lines from its own upper left corner [mm]."""

    height: float
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class _Piece:
    x: float
    text: str
    face: Face
    capitals: float

    @property
    def width(self) -> float:
        return font(self.face).width(self.text, self.capitals)


def _set(rows: Iterable[list[_Piece]], manner: Manner) -> Laid:
    """Return pieces of text set row below row, each row as high as its letters need."""
    least = _SHORT_RISE if manner.short else _RISE
    lines: list[Line] = []
    y = 0.0
    for row in rows:
        reaches = [font(piece.face).reach(piece.text) for piece in row]
        rise = max(max(least, up) * piece.capitals for piece, (up, _) in zip(row, reaches, strict=True))
        fall = max(max(_FALL, down) * piece.capitals for piece, (_, down) in zip(row, reaches, strict=True))
        lines += [Line(piece.x, y + rise, piece.text, piece.face, piece.capitals) for piece in row]
        y += rise + fall
    return Laid(y, tuple(lines))


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One text. `usual`: the height of its capitals on a plate of the usual size [mm]."""

    text: str
    usual: float
    face: Face = Face.REGULAR

    def laid(self, width: float, manner: Manner) -> Laid:
        """Return it in one line if it can be, if need be down to the least letters, else wrapped in these."""
        capitals = manner.capitals(self.usual)
        fitting = min(capitals, capitals * width / max(font(self.face).width(self.text, capitals), _NOTHING))
        if fitting >= LEAST_CAPITALS:
            return _set([[_Piece(0, self.text, self.face, fitting)]], manner)
        texts = wrapped(self.text, width, LEAST_CAPITALS, self.face)
        return _set(([_Piece(0, text, self.face, LEAST_CAPITALS)] for text in texts), manner)


@dataclass(frozen=True, slots=True)
class Table:
    """Fields with a name: a column each, and a row for each thing that has them."""

    names: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    usual: float
    usual_of_names: float

    def laid(self, width: float, manner: Manner) -> Laid:
        """Return it in columns, its letters smaller if they must be; in running lines where that does not do.

        Where names may run in, whatever takes less room.
        """
        capitals = manner.capitals(self.usual)
        names = min(capitals, manner.capitals(self.usual_of_names))
        tried = (self._columns(width, letters, min(names, letters), manner) for letters in (capitals, LEAST_CAPITALS))
        columns = next((laid for laid in tried if laid is not None), None)
        if columns is not None and not manner.run_in:
            return columns
        running = _set(self._running(width, capitals, names), manner)
        return running if columns is None or running.height <= columns.height else columns

    def _columns(self, width: float, capitals: float, names: float, manner: Manner) -> Laid | None:
        """Return the columns, one row of them on as many lines as it takes; nothing where they do not fit."""
        widths = [self._width(column, capitals, names) for column in range(len(self.names))]
        groups = _packed(widths, width, manner.column_gap) if len(self.rows) == 1 else [range(len(widths))]
        set_rows: list[list[_Piece]] = []
        for group in groups:
            taken = sum(widths[column] for column in group)
            if taken + manner.column_gap * (len(group) - 1) > width + _NOTHING:
                return None
            gap = (width - taken) / max(1, len(group) - 1)
            left = [sum(widths[group.start : column]) + gap * (column - group.start) for column in group]
            set_rows.append(
                [_Piece(x, self.names[column], Face.REGULAR, names) for x, column in zip(left, group, strict=True)]
            )
            set_rows += [
                [_Piece(x, row[column], Face.BOLD, capitals) for x, column in zip(left, group, strict=True)]
                for row in self.rows
            ]
        return _set(set_rows, manner)

    def _width(self, column: int, capitals: float, names: float) -> float:
        bold = font(Face.BOLD)
        name = font(Face.REGULAR).width(self.names[column], names)
        return max(name, *(bold.width(row[column], capitals) for row in self.rows))

    def _running(self, width: float, capitals: float, names: float) -> Iterator[list[_Piece]]:
        """Yield running lines of named values; a field that fits a line by itself is not broken."""
        for row in self.rows:
            line: list[_Piece] = []
            x = 0.0
            for name, value in zip(self.names, row, strict=True):
                field = [_Piece(0, name, Face.REGULAR, names), _Piece(0, value, Face.BOLD, capitals)]
                space = font(Face.REGULAR).width(" ", names)
                if line and x + field[0].width + space + field[1].width > width + _NOTHING:
                    yield line
                    line, x = [], 0.0
                for whole in field:
                    for place, text in enumerate(wrapped(whole.text, width, whole.capitals, whole.face, taken=x)):
                        if place:
                            yield line
                            line, x = [], 0.0
                        if text:
                            line.append(_Piece(x, text, whole.face, whole.capitals))
                            x += line[-1].width
                    x += space
                x += FIELD_GAP - space
            yield line


def _packed(widths: list[float], width: float, gap: float) -> list[range]:
    """Return the columns in groups that go beside each other."""
    groups: list[range] = []
    start, taken = 0, 0.0
    for column, needed in enumerate(widths):
        if column > start and taken + gap + needed > width + _NOTHING:
            groups.append(range(start, column))
            start, taken = column, needed
        else:
            taken += needed + (gap if column > start else 0)
    return [*groups, range(start, len(widths))]


def wrapped(text: str, width: float, capitals: float, face: Face, taken: float = 0.0) -> list[str]:
    """Return the lines of a text, none longer than the width [mm], as many words as fit on each.

    taken: what stands already on the first line [mm]; that is empty where no word fits beside it.
    """
    measure = font(face)
    lines = [""]
    for word in _BREAK.split(text):
        for place, part in enumerate(_broken(word, width, capitals, face)):
            joined = f"{lines[-1]} {part}" if lines[-1] and place == 0 else lines[-1] + part
            room = width - taken if len(lines) == 1 else width
            if measure.width(joined, capitals) <= room + _NOTHING or (not lines[-1] and room >= width):
                lines[-1] = joined
            else:
                lines.append(part)
    return lines


def _broken(word: str, width: float, capitals: float, face: Face) -> list[str]:
    """Return a word, in parts where it is longer than a line: after a hyphen or the like if one is near the end."""
    measure = font(face)
    parts = []
    while measure.width(word, capitals) > width + _NOTHING:
        count = max(1, _fitting(word, width, capitals, face))
        joint = max(word.rfind(sign, count // 2, count) for sign in _JOINTS) + 1
        parts.append(word[: joint or count])
        word = word[joint or count :]
        if not word:
            return parts
    return [*parts, word]


def _fitting(word: str, width: float, capitals: float, face: Face) -> int:
    """Return how many characters of a word fit on a line."""
    measure, taken = font(face), 0.0
    for count, character in enumerate(word):
        taken += measure.width(character, capitals)
        if taken > width + _NOTHING:
            return count
    return len(word)
