"""What columns hold, so that SQLite and PostgreSQL hold, compare and sort it alike."""

import re
from typing import Any
from typing import Final

from sqlalchemy import BigInteger
from sqlalchemy import Dialect
from sqlalchemy import Integer
from sqlalchemy import Text
from sqlalchemy.types import TypeDecorator
from sqlalchemy.types import TypeEngine

from .errors import NotStorable

_UNSTORABLE: Final = re.compile(r"[\x00\ud800-\udfff]")
_MOST: Final = 2**63 - 1


def storable(text: str) -> bool:
    """Whether every database can hold the text."""
    return not _UNSTORABLE.search(text)


def _require_storable(text: str) -> str:
    if not storable(text):
        raise NotStorable("a text holds NUL or half a surrogate pair, which nothing stored can hold")
    return text


class Words(TypeDecorator[str]):
    """A text, compared and sorted by code point in every database and locale: a cursor must mean the same place."""

    impl = Text
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Return the type of the database."""
        return Text(collation="C") if dialect.name == "postgresql" else Text()

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        """Return the text as it is. Raises NotStorable."""
        return None if value is None else _require_storable(value)


class Whole(TypeDecorator[int]):
    """An integer of 64 bits."""

    impl = BigInteger
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Return the type of the database: every INTEGER of SQLite has 64 bits, and only that one can name its rows."""
        return Integer() if dialect.name == "sqlite" else BigInteger()

    def process_bind_param(self, value: int | None, dialect: Dialect) -> int | None:
        """Return the integer as it is. Raises NotStorable."""
        if value is not None and not -_MOST <= value <= _MOST:
            raise NotStorable("a number is beyond 64 bits, which nothing stored can be")
        return value
