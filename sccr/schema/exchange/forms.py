"""How a single value is written in a cell."""

import re
from typing import Any
from typing import Final

from sccr.schema.exchange.problem import CellError
from sccr.schema.problems import shown

_WHOLE: Final = re.compile("-?[0-9]{1,16}")
_NUMBER: Final = re.compile(r"-?(0|[1-9][0-9]{0,20})(\.[0-9]{1,30})?([eE][-+]?[0-9]{1,3})?")
_FLAGS: Final = {"yes": True, "no": False, "true": True, "false": False}
_SEPARATORS: Final = re.compile("[;\n]")


class Form:
    """Base of the forms here.

    `read` returns what a text without space at its ends stands for, as a document holds it, or raises CellError.
    `write` returns the text of a value of a valid document, or nothing where the form has none for it; whether a text
    comes back as the value is tried by whoever writes it.
    """

    #: Whether a spreadsheet may hold the value as a number.
    is_number: bool = False

    def read(self, text: str) -> Any:
        """Return what the text stands for."""
        raise NotImplementedError

    def write(self, value: Any) -> str | None:
        """Return the text of the value, or nothing."""
        raise NotImplementedError

    def parted(self, text: str) -> list[str]:
        """Return the entries of a list."""
        return [entry for entry in map(str.strip, _SEPARATORS.split(text)) if entry]


class Words(Form):
    """A text as it is: a name, a word of a closed set, a quantity with its unit."""

    def read(self, text: str) -> str:
        """Return the text itself."""
        return text

    def write(self, value: Any) -> str | None:
        """Return the text itself."""
        return value if isinstance(value, str) else None


class Whole(Form):
    """A whole number."""

    is_number = True

    def read(self, text: str) -> int:
        """Return the number."""
        if not _WHOLE.fullmatch(text):
            raise CellError("not-an-integer", f"{shown(text)} is no whole number, such as 3")
        return int(text)

    def write(self, value: Any) -> str | None:
        """Return the digits."""
        return str(value) if type(value) is int else None


class Number(Form):
    """A number of JSON: whole, or as near as a binary fraction comes."""

    is_number = True

    def read(self, text: str) -> int | float:
        """Return the number."""
        match = _NUMBER.fullmatch(text)
        if match is None:
            raise CellError("not-a-number", f"{shown(text)} is no number; write it with a point, such as 12.5")
        return float(text) if match[2] or match[3] else int(text)

    def write(self, value: Any) -> str | None:
        """Return the shortest digits that mean this number."""
        return repr(value) if type(value) in (int, float) else None


class YesNo(Form):
    """A flag."""

    def read(self, text: str) -> bool:
        """Return the flag."""
        flag = _FLAGS.get(text.casefold())
        if flag is None:
            raise CellError("not-a-flag", f"{shown(text)} is neither yes nor no")
        return flag

    def write(self, value: Any) -> str | None:
        """Return yes or no."""
        if not isinstance(value, bool):
            return None
        return "yes" if value else "no"


class Unwritten(Form):
    """A value that has columns of its own, and else stands as JSON only."""

    def read(self, text: str) -> Any:
        """Refuse the text."""
        told = "cannot be read here; leave the cell empty and use the columns whose names begin with this one's"
        raise CellError("not-applicable", f"{shown(text)} {told}")

    def write(self, value: Any) -> None:
        """Return nothing."""
        return None
