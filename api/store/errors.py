"""What the store refuses, and why.

* StoreError
  + Conflict       what the caller based its change on has changed since
  + Exists         it was to be made anew, and is there
  + NotFound       what was to be changed is not there
  + WrongState     it is there, and past the point where this can be done
  + NotStorable    a text or number that the database cannot hold, so that nothing stored can equal it either
  + NotSupported   not with this database
  + StoreUrl       the address of the database is no use (a ValueError as well)
  + Unavailable    the database does not answer, or stayed locked for longer than a caller can wait
"""

from sqlalchemy.exc import DontWrapMixin


class StoreError(Exception):
    """Base of every error that the store raises on purpose."""


class Conflict(StoreError):
    """What the caller based its change on has changed since. `current` is its etag or number now, None if gone."""

    def __init__(self, detail: str, current: str | None) -> None:
        self.current = current
        super().__init__(detail)


class Exists(StoreError):
    """It was to be made anew, and is there."""


class NotFound(StoreError):
    """What was to be changed is not there."""


class WrongState(StoreError):
    """It is there, and past the point where this can be done."""


class NotStorable(StoreError, DontWrapMixin, ValueError):
    """A text with NUL or half a surrogate pair, or a number beyond 64 bits: no database holds it."""


class NotSupported(StoreError):
    """Not with this database."""


class StoreUrl(StoreError, ValueError):
    """The address of the database is no use. The message says why, and holds no password."""


class Unavailable(StoreError):
    """The database does not answer, or stayed locked for longer than a caller can wait. Nothing was written."""
