"""Between the value of a field and the cells of its column: what is written always comes back."""

from collections.abc import Iterator
from collections.abc import Sequence
from typing import Any
from typing import Final

from sccr.schema.exchange.columns import Column
from sccr.schema.exchange.guard import JSON
from sccr.schema.exchange.guard import as_json
from sccr.schema.exchange.guard import from_json
from sccr.schema.exchange.guard import guarded
from sccr.schema.exchange.guard import is_plain
from sccr.schema.exchange.guard import unguarded
from sccr.schema.exchange.problem import CellError

#: The word for a list without entries; an empty cell says nothing.
NONE: Final = "none"

_SEPARATOR: Final = "; "
#: A spreadsheet holds 32,767 characters in a cell, of 16 bits each; some room is left for what stands around.
_LONGEST_CELL: Final = 32_000


def read_cell(column: Column, text: str) -> Any:
    """Return what one cell, without space at its ends and not empty, stands for; raise CellError."""
    text = unguarded(text)
    if text.startswith(JSON):
        return from_json(text)
    if not column.many:
        return column.form.read(text)
    if text == NONE:
        return []
    entries = list(_entries(column, text))
    return entries[0] if column.single and len(entries) == 1 else entries


def _entries(column: Column, text: str) -> Iterator[Any]:
    for number, entry in enumerate(column.form.parted(text), start=1):
        try:
            yield column.form.read(entry)
        except CellError as error:
            raise CellError(error.code, f"entry {number}: {error.detail}") from error


def joined(values: Sequence[Any]) -> Any:
    """Return the value of a field from what its cells stand for: lists are continued from cell to cell."""
    if len(values) == 1:
        return values[0]
    return [entry for value in values for entry in (value if isinstance(value, list) else [value])]


def write_cells(column: Column, value: Any) -> list[str]:
    """Return the cells of a value of a valid document: one, or more where a long list does not fit in one."""
    if column.many and isinstance(value, list):
        return _list_cells(column, value)
    text = column.form.write(value)
    return [guarded(text)] if text is not None and _come_back(column, [text], value) else [as_json(value)]


def _list_cells(column: Column, entries: list[Any]) -> list[str]:
    if not entries:
        return [NONE]
    texts = [column.form.write(entry) for entry in entries]
    written = [text for text in texts if text is not None]
    if len(written) == len(entries):
        cells = [_SEPARATOR.join(packed) for packed in _packed(written)]
        if _come_back(column, cells, entries):
            return [guarded(cell) for cell in cells]
    several = [as_json(entry).removeprefix(JSON) for entry in entries]
    return [f"{JSON}[{', '.join(packed)}]" for packed in _packed(several)]


def _packed(texts: list[str]) -> Iterator[list[str]]:
    """Yield the texts, as many together as go into one cell."""
    packed: list[str] = []
    filled = 0
    for text in texts:
        length = len(text.encode("utf-16-le")) // 2 + len(_SEPARATOR)
        if packed and filled + length > _LONGEST_CELL:
            yield packed
            packed, filled = [], 0
        packed.append(text)
        filled += length
    yield packed


def _come_back(column: Column, cells: list[str], value: Any) -> bool:
    """Whether the cells, guarded, are read as the value again, by whatever spreadsheet they went."""
    try:
        read = joined([read_cell(column, guarded(cell).strip()) for cell in cells if cell])
    except CellError:
        return False
    return type(read) is type(value) and read == value and all(map(is_plain, cells))
