"""The entries of a run on the disk, however many they are, and out again with the worst first."""

import sqlite3
from collections import Counter
from collections.abc import Iterable
from collections.abc import Iterator
from types import TracebackType
from typing import Self

from .entries import SPREAD
from .entries import Entry


class Ledger:
    """What has become of the panels of a run; a file without a name holds it, which is gone with this."""

    def __init__(self) -> None:
        self._file = sqlite3.connect("", isolation_level=None)  # SQLite's own: on the disk once it is large
        self._file.execute("CREATE TABLE entries (place INTEGER, text TEXT)")
        self.rated = 0
        self.ranks: Counter[int] = Counter()

    def add(self, entries: Iterable[Entry]) -> None:
        """Take some entries in."""
        for entry in entries:
            self.rated += 1
            if entry.place is not None:
                self.ranks[entry.place // SPREAD] += 1
                self._file.execute("INSERT INTO entries VALUES (?, ?)", (entry.place, entry.text))

    def worst_first(self) -> Iterator[str]:
        """Yield the texts of the entries; those of one place by their orders, whatever way they were found."""
        for (text,) in self._file.execute("SELECT text FROM entries ORDER BY place, text"):
            yield text

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()
