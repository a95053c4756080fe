"""Text in a cell that no spreadsheet takes for a formula and that no form of file changes.

A value that a cell cannot hold as it is stands there as JSON behind the word `json:`. A cell that a spreadsheet would
calculate stands behind an apostrophe (CSV injection, CWE-1236).
"""

import json
import re
from typing import Any
from typing import Final

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.schema.exchange.problem import CellError
from sccr.schema.problems import shown
from sccr.schema.strict_json import decode

JSON: Final = "json:"

_APOSTROPHE: Final = "'"
_TRIGGERS: Final = "=+\\-@＝＋－＠"
_CALCULATED: Final = re.compile(f"['{_TRIGGERS}]")
#: A semicolon, where it parts the cells of a row in the reader's country, and what would then begin a cell.
_PARTED: Final = re.compile(rf';(?=[\s"\\]*[{_TRIGGERS}])')
#: What a workbook means as the code of a character: _x000D_; and what its reader here drops: x005F_.
_CODED: Final = re.compile("x(?=[0-9A-Fa-f]{4}_)")
#: The two characters of a text that XML cannot hold.
_NOT_XML: Final = re.compile("[\ufffe\uffff]")


def guarded(text: str) -> str:
    """Return the text as it stands in a cell: behind an apostrophe where it begins as a formula does, or with one.

    >>> guarded("-QA1"), guarded("OAT-3P-15")
    ("'-QA1", 'OAT-3P-15')
    """
    return _APOSTROPHE + text if _CALCULATED.match(text) else text


def unguarded(text: str) -> str:
    """Return the text of a cell; raise CellError for a formula."""
    if text.startswith("="):
        told = "is a formula, and only values are taken; write the value, or an apostrophe in front if this is text"
        raise CellError("formula", f"{shown(text)} {told}")
    return text.removeprefix(_APOSTROPHE)


def is_plain(text: str) -> bool:
    """Whether a cell may hold this text as it is."""
    return not (_PARTED.search(text) or _CODED.search(text) or _NOT_XML.search(text))


def as_json(value: Any) -> str:
    """Return the cell that holds a value as JSON."""
    text = json.dumps(value, ensure_ascii=False)
    text = _CODED.sub(r"\\u0078", text)
    return JSON + _NOT_XML.sub(lambda match: f"\\u{ord(match[0]):x}", text)


def from_json(text: str) -> Any:
    """Return the value of a cell that begins with `json:`."""
    try:
        return decode(text.removeprefix(JSON))
    except MalformedJson as error:
        raise CellError("not-json", f"begins with {JSON} and is {error.detail}") from error
    except InvalidDocument as error:
        raise CellError(error.problems[0].code, error.problems[0].detail) from error


def without_parting(cell: str) -> str:
    """Return a cell of a CSV file so that parting it at semicolons makes no formula; only JSON can need it."""
    return _PARTED.sub(r"\\u003b", cell) if cell.startswith(JSON) else cell
