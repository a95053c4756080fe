"""Records of which some fields are made when they are first read: what nobody reads costs nothing."""

from collections.abc import Callable
from collections.abc import Mapping
from typing import Any
from typing import Self


class Deferred:
    """The base of a frozen dataclass with slots that may be given a maker in place of a field.

    The fields stay attributes. What dataclass writes (comparison, repr, pickling, replace) reads attributes, and so
    makes what is still to be made: nobody can tell such a record from one that was given every field. A maker must be
    a pure function of the record, since two threads that read a field for the first time may both make it.
    """

    __slots__ = ("_makers",)

    @classmethod
    def deferred(cls, makers: Mapping[str, Callable[[Any], Any]], **fields: Any) -> Self:
        """Return a record with these fields, the others to be made by `makers`."""
        record = cls.__new__(cls)
        for name, value in fields.items():
            object.__setattr__(record, name, value)
        object.__setattr__(record, "_makers", makers)
        return record

    def __getattr__(self, name: str) -> Any:
        """Make a field; Python asks here only where it finds none."""
        try:
            makers = object.__getattribute__(self, "_makers")
        except AttributeError:  # was given every field
            makers = {}
        if name not in makers:
            return object.__getattribute__(self, name)  # made by another thread meanwhile, or no attribute at all
        value = makers[name](self)
        object.__setattr__(self, name, value)
        # What a maker holds on to may go once it is made. The field is there first, for whoever finds no maker.
        object.__setattr__(self, "_makers", {other: maker for other, maker in makers.items() if other != name})
        return value
