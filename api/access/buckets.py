"""A limit of the rate: a bucket of tokens for each caller, that all workers of the server share.

A bucket of q tokens that fills up in w seconds is one number: when it will be full again. (This is the generic cell
rate algorithm; a request moves the moment by w / q, and is refused where that would move it more than w ahead.) The
numbers of all callers stand in a table of fixed size, in memory that the workers inherit: the limit holds for the
service as a whole, not for each worker. A bucket that is full is as good as none, so that its row can be used again.
"""

import fcntl
import hashlib
import math
import mmap
import struct
import tempfile
import threading
import time
import weakref
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final

_ROW: Final = struct.Struct("=8sd")
_ROWS: Final = 4096
#: How many rows from its own a caller may stand in; where all are taken, the one nearest to full gives way.
_REACH: Final = 8
#: What a token may lack: the sum of many steps must not lose the last one to the rounding of floats.
_GRACE: Final = 0.001


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a request may pass; how many more might at once; when the bucket is full, when the next may pass [s]."""

    passes: bool
    remaining: int
    full_in: int
    retry_in: int


class Buckets:
    """The buckets of all callers, each of `quota` requests in `window` seconds.

    Make it before the workers are forked: they share what they inherit.
    """

    def __init__(self, quota: int, window: int = 60, clock: Callable[[], float] = time.monotonic) -> None:
        self.quota = quota
        self.window = window
        self._clock = clock
        self._table = mmap.mmap(-1, _ROW.size * _ROWS)
        self._threads = threading.Lock()
        self._processes = tempfile.TemporaryFile()  # noqa: SIM115  # to be locked: a worker that dies lets go of it
        weakref.finalize(self, self._processes.close)

    def take(self, caller: str) -> Verdict:
        """Take a token out of the bucket of a caller, where there is one."""
        name = hashlib.blake2b(caller.encode(), digest_size=8).digest()
        step = self.window / self.quota
        with self._alone():
            now = self._clock()
            place, full_at = self._row_of(name, now)
            ahead = max(full_at - now, 0.0)
            tokens = math.floor((self.window - ahead) / step + _GRACE)
            if tokens < 1:
                return Verdict(False, 0, math.ceil(ahead), math.ceil(ahead + step * (1 - _GRACE) - self.window))
            ahead += step
            _ROW.pack_into(self._table, place, name, now + ahead)
            return Verdict(True, tokens - 1, math.ceil(ahead), 0)

    def _row_of(self, name: bytes, now: float) -> tuple[int, float]:
        """Return where the bucket of a caller stands, and when it is full."""
        first = int.from_bytes(name, "big")
        places = [(first + each) % _ROWS * _ROW.size for each in range(_REACH)]
        rows = [(*_ROW.unpack_from(self._table, place), place) for place in places]
        for stored, full_at, place in rows:
            if stored == name:
                return place, full_at
        _, place = min((full_at, place) for _, full_at, place in rows)
        return place, now

    @contextmanager
    def _alone(self) -> Iterator[None]:
        with self._threads:
            fcntl.lockf(self._processes, fcntl.LOCK_EX)
            try:
                yield
            finally:
                fcntl.lockf(self._processes, fcntl.LOCK_UN)
