"""Names for what is kept: 26 characters (ULID), which sort by the moment they were made at."""

import secrets
import threading
from datetime import datetime
from typing import Final

_DIGITS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_LENGTH: Final = 26
_RANDOM_BITS: Final = 80


class Identifiers:
    """Gives names, each greater than the one before it, even within a millisecond or when the clock is set back."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._last = 0

    def new(self, moment: datetime) -> str:
        """Return the next name: 48 bits of milliseconds since 1970, and 80 that nobody can guess."""
        milliseconds = int(moment.timestamp() * 1000)
        number = milliseconds << _RANDOM_BITS | secrets.randbits(_RANDOM_BITS)
        with self._lock:
            if number <= self._last:
                # A random step, not one: who knows one name must not know the next.
                number = self._last + 1 + secrets.randbits(_RANDOM_BITS // 2)
            self._last = number
        return _written(number)


def _written(number: int) -> str:
    return "".join(_DIGITS[number >> 5 * place & 31] for place in reversed(range(_LENGTH)))
