"""Fields that take a value as it is written, or refuse it: nothing is coerced.

`read` is the contract; `quick` gives a table by which the same right values are read fast (module `quick`).
"""

import re
from collections.abc import Callable
from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Any
from typing import Final

from marshmallow import ValidationError
from marshmallow import fields

from sccr.schema.json_values import FORBIDDEN
from sccr.schema.json_values import MAX_INTEGER
from sccr.schema.misread import QuantityError
from sccr.schema.problems import MOST_PROBLEMS
from sccr.schema.problems import Fault
from sccr.schema.problems import count
from sccr.schema.problems import invalid
from sccr.schema.problems import shown
from sccr.schema.quick import ListTable
from sccr.schema.quick import OneOrMoreTable
from sccr.schema.quick import Reading
from sccr.schema.quick import Remembered
from sccr.schema.quick import Table
from sccr.schema.quick import remembered

LONGEST_ID: Final = 64
_LONGEST_TEXT: Final = 500
_LISTED: Final = 16
#: How many names are remembered: of fewer, a large panel would push out each of its own before it came again.
_DESIGNATIONS: Final = 16_384
_DATE: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class Strict(fields.Field[Any]):
    """Base of the fields here: `read` turns a value into what the panel holds, or raises a ValidationError."""

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        if "read" in cls.__dict__ and "quick" not in cls.__dict__:
            cls.quick = Strict.quick  # type: ignore[method-assign]  # never the table of another way of reading

    def read(self, value: Any) -> Any:
        """Return what the value stands for."""
        raise NotImplementedError

    def quick(self) -> Table:
        """Return the table of the right values."""
        return Reading(self.read)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> Any:
        return self.read(value)

    def make_error(self, key: str, **kwargs: Any) -> ValidationError:
        """Return marshmallow's own errors, of a field that is missing or null, with their codes."""
        return ValidationError([MISSING if key == "required" else NULL])


MISSING: Final = Fault("required", "is missing")
NULL: Final = Fault("null", "is null; leave the field out where there is nothing to say")


class Text(Strict):
    """A text of one line, not empty."""

    def read(self, value: Any) -> str:
        """Return the text itself."""
        if not isinstance(value, str):
            raise invalid("not-text", f'{shown(value)} is not text; write it in quotes, such as "12"')
        if not value or value.isspace():
            raise invalid("empty", "is empty; leave the field out where there is nothing to say")
        if len(value) > _LONGEST_TEXT:
            raise invalid("too-long", f"has {len(value)} characters; {_LONGEST_TEXT} is the most")
        if FORBIDDEN.search(value):
            raise invalid("control-character", f"{shown(value)} holds a control character; leave it out")
        return value


class Identifier(Strict):
    """A reference designation or part number: printable characters, 1 to 64 of them, no space at either end."""

    def __init__(self, longest: int = LONGEST_ID, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._longest = longest

    def read(self, value: Any) -> str:
        """Return the identifier itself."""
        if not isinstance(value, str):
            raise invalid("not-text", f'{shown(value)} is not text; write it in quotes, such as "-QA1"')
        if 0 < len(value) <= self._longest and value.isprintable() and value == value.strip():
            return value
        wanted = f"1 to {self._longest} printable characters without a space at either end"
        raise invalid("not-an-id", f"{shown(value)} cannot be a name; write {wanted}")

    def quick(self) -> Table:
        """Return the table of the right values: panels have much the same designations."""
        return Remembered(self.read, _DESIGNATIONS)


class Choice(Strict):
    """One of a closed set of words."""

    def __init__(self, what: str, choices: Mapping[str, Any], **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._what = what
        self._choices = choices

    def read(self, value: Any) -> Any:
        """Return what the word stands for."""
        if isinstance(value, str) and value in self._choices:
            return self._choices[value]
        word = value if isinstance(value, str) else None
        code = f"unknown-{self._what.replace(' ', '-')}"
        known = f"; known are {', '.join(self._choices)}" if len(self._choices) <= _LISTED else ""
        raise invalid(code, f"{shown(value)} is no {self._what}{known}", word, self._choices)

    def quick(self) -> Table:
        """Return the table of the right values, which is that of the words."""
        return dict(self._choices)


class Integer(Strict):
    """A whole number within bounds, written as a number without a point."""

    def __init__(self, least: int, most: int = MAX_INTEGER, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._least = least
        self._most = most

    def read(self, value: Any) -> int:
        """Return the number itself."""
        if isinstance(value, bool) or not isinstance(value, int):
            raise invalid("not-an-integer", f"{shown(value)} is not a plain whole number, such as {self._least}")
        if not self._least <= value <= self._most:
            raise invalid("out-of-range", f"{shown(value)} is not within {self._least} to {self._most}")
        return value


class PhaseCount(Integer):
    """A number of phases: one or three."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(1, 3, **kwargs)

    def read(self, value: Any) -> int:
        """Return the number itself."""
        if super().read(value) == 2:
            raise invalid("out-of-range", "2 phases are not known here; write 1 or 3")
        return int(value)


class Flag(Strict):
    """True or false."""

    def read(self, value: Any) -> bool:
        """Return the flag itself."""
        if not isinstance(value, bool):
            raise invalid("not-a-flag", f"{shown(value)} is neither true nor false; write one of them, without quotes")
        return value


@cache
def _known(read: Callable[[object], Any]) -> Remembered:
    """Return what the fields of one quantity have read: they share it."""
    return Remembered(read)


class Quantity(Strict):
    """A string with a unit, read by one of the functions of `quantity`, each spelling once."""

    def __init__(self, read: Callable[[object], Any], **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._known = _known(read)
        self._read = read

    def read(self, value: Any) -> Any:
        """Return the quantity."""
        try:
            return self._known[value] if isinstance(value, str) else self._read(value)
        except QuantityError as error:
            raise invalid(error.code, error.detail) from error

    def quick(self) -> Table:
        """Return the table of the right values."""
        return self._known


class Date(Strict):
    """A day, as ISO 8601 writes it."""

    def read(self, value: Any) -> str:
        """Return the date as it is written."""
        try:
            if isinstance(value, str) and _DATE.fullmatch(value):
                return date.fromisoformat(value).isoformat()
        except ValueError:
            pass
        raise invalid("not-a-date", f'{shown(value)} is no date; write year, month and day, such as "2026-03-31"')


class ListOf(Strict):
    """A list of values of one kind; what is wrong with any of them is reported with its number."""

    def __init__(self, item: Strict, most: int, least: int = 0, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._item = item
        self._least = least
        self._most = most

    def read(self, value: Any) -> tuple[Any, ...]:
        """Return what each of the values stands for."""
        if not isinstance(value, list):
            raise invalid("not-a-list", f"{shown(value)} is not a list; write it in brackets, such as [ … ]")
        if not self._least <= len(value) <= self._most:
            wanted = f"at least {self._least}" if len(value) < self._least else f"at most {self._most}"
            raise invalid("wrong-length", f"has {len(value)} entries; {wanted} are wanted")
        read = self._item.read
        try:
            return tuple([read(each) for each in value])
        except ValidationError:
            raise self._all_errors(value) from None

    def _all_errors(self, value: list[Any]) -> ValidationError:
        """Read once more, for everything that is wrong and all that is not; what follows too much is left unread."""
        errors: dict[int, Any] = {}
        valid: list[Any] = [None] * len(value)
        wrong = 0
        for number, each in enumerate(value):
            try:
                valid[number] = self._item.read(each)
            except ValidationError as error:
                errors[number] = error.messages
                valid[number] = error.valid_data
                wrong += count(error.messages)
                if wrong > MOST_PROBLEMS:
                    break
        return ValidationError(errors, valid_data=valid)

    def quick(self) -> Table:
        """Return the table of the right values."""
        item = self._item.quick()
        return remembered(ListTable(item, self._least, self._most), item)


class OneOrMore(ListOf):
    """A value, or a list of values that are all different, where only one need be written without brackets."""

    def read(self, value: Any) -> tuple[Any, ...]:
        """Return the values, one or more."""
        if not isinstance(value, list):
            return (self._item.read(value),)
        return super().read(value)

    def quick(self) -> Table:
        """Return the table of the right values."""
        return OneOrMoreTable(self._item.quick(), self._least, self._most)
