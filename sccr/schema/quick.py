"""How a well-formed value is read fast: by looking it up.

Each field says by `quick` what reads its values here: a table, of which `table[value]` is what `read(value)` gives.
A table knows right values only. Of anything else it raises whatever is at hand, one of UNCERTAIN, without a word of
what is wrong: that is for `read` to say, and the whole document is then read by it.
"""

from collections.abc import Callable
from collections.abc import Mapping
from marshal import dumps
from typing import Any
from typing import Final
from typing import Protocol

from marshmallow import ValidationError

from sccr.schema.misread import QuantityError

_REMEMBERED: Final = 4096
#: The form of marshal in which equal contents of equal types give equal bytes (later ones mark what is shared).
_CONTENT: Final = 2
_LONGEST_CONTENT: Final = 1_000


class NotCertain(Exception):
    """A value is not known here for right."""


#: What says that a value is not known here for right: also what a dictionary raises of a word that it lacks, or of a
#: value that cannot be looked up, such as a list, and marshal of a value that is none of JSON.
UNCERTAIN: Final = (NotCertain, ValidationError, QuantityError, LookupError, TypeError, ValueError)


class Table(Protocol):
    """Right values, and what each stands for."""

    def __getitem__(self, value: Any, /) -> Any:
        """Return what the value stands for; raise one of UNCERTAIN otherwise."""


class Remembered(dict[Any, Any]):
    """What the last few thousand right strings were read as, each read once.

    Only strings that were right are kept, so that none is long; when it is full it begins anew. Threads may share it:
    each step is one of a dictionary, and the worst that two can do to each other is to read a string twice.
    """

    __slots__ = ("_most", "_read")

    def __init__(self, read: Callable[[Any], Any], most: int = _REMEMBERED) -> None:
        super().__init__()
        self._read = read
        self._most = most

    def __missing__(self, value: Any) -> Any:
        found = self._read(value)
        if type(value) is str:  # 1, 1.0 and True are the same key, and not the same value
            if len(self) >= self._most:
                self.clear()
            self[value] = found
        return found


class RememberedContent:
    """What the last few thousand objects, or lists of them, were made into, each content once: panels are built of the
    same parts. It is shared by threads as `Remembered` is, and what it gives is frozen.
    """

    __slots__ = ("_known", "_table")

    def __init__(self, table: Table) -> None:
        self._table = table
        self._known: dict[bytes, Any] = {}

    def __getitem__(self, value: Any) -> Any:
        content = dumps(value, _CONTENT)  # tells True from 1 and a list from a tuple; takes no types but the exact ones
        found = self._known.get(content)
        if found is None:
            found = self._table[value]
            if len(content) <= _LONGEST_CONTENT:
                if len(self._known) >= _REMEMBERED:
                    self._known.clear()
                self._known[content] = found
        return found


class Reading:
    """Values of all kinds, each read by the field itself."""

    __slots__ = ("_read",)

    def __init__(self, read: Callable[[Any], Any]) -> None:
        self._read = read

    def __getitem__(self, value: Any) -> Any:
        return self._read(value)


class ListTable:
    """Lists of so many values of one table."""

    __slots__ = ("_item", "_least", "_most")

    def __init__(self, item: Table, least: int, most: int) -> None:
        self._item = item
        self._least = least
        self._most = most

    def __getitem__(self, value: Any) -> tuple[Any, ...]:
        if type(value) is not list or not self._least <= len(value) <= self._most:
            raise NotCertain
        item = self._item
        return tuple([item[each] for each in value])


class OneOrMoreTable(ListTable):
    """A value of the table, or a list of them."""

    __slots__ = ()

    def __getitem__(self, value: Any) -> tuple[Any, ...]:
        if type(value) is list:
            return super().__getitem__(value)
        return (self._item[value],)


class ObjectTable:
    """Objects of the members that a schema declares; `make`, if any, makes of them the frozen record they stand for."""

    __slots__ = ("_members", "_required", "make")

    def __init__(
        self, members: Mapping[str, Table], required: tuple[str, ...], make: Callable[[dict[str, Any]], Any] | None
    ) -> None:
        self._members = members
        self._required = required
        self.make = make

    def __getitem__(self, value: Any) -> Any:
        if type(value) is not dict:
            raise NotCertain
        members = self._members
        data = {}
        for name, member in value.items():
            data[name] = members[name][member]
        for name in self._required:
            if name not in data:
                raise NotCertain
        return data if self.make is None else self.make(data)


def remembered(table: Table, item: Table) -> Table:
    """Return a table of objects, or of lists of such an item, which remembers contents if records are made of them."""
    return RememberedContent(table) if isinstance(item, ObjectTable) and item.make is not None else table
