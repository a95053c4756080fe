"""Processes of this machine that rate, each lent one chunk at a time.

They are started as programs of their own: nothing is forked from a program that may have threads, no script is run
again because it lacks a guard, and Ctrl-C reaches the one that started them and not them. Each has a pipe of its own,
so that one which is killed, even in the middle of its answer, is known at once, with what it had.
"""

import fcntl
import os
import pickle
import queue
import subprocess
import sys
import threading
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import IO
from typing import Any
from typing import Final

from sccr.errors import NoWorkers
from sccr.errors import WorkerLost
from sccr.many import worker
from sccr.many.executors import ATTEMPTS
from sccr.many.executors import Executor
from sccr.many.executors import Item
from sccr.many.executors import Result
from sccr.many.executors import in_order
from sccr.many.messages import receive
from sccr.many.messages import send

#: So many items are sent to a process at once: one is worked on, and the next is there when it is done.
_SENT: Final = 2
#: So many are under way for each process: what is sent, and some that wait for their turn to be told.
_AHEAD: Final = 2 * _SENT
#: What a pipe holds, if it may [bytes]: the next item, and a good part of what comes of one.
_PIPE: Final = 2**20
#: Has glibc keep memory for the next answer. It would give back each large piece and fetch it anew, page by page: some
#: per cent of the time of a rating.
_MEMORY: Final = {"MALLOC_MMAP_THRESHOLD_": str(2**25), "MALLOC_TRIM_THRESHOLD_": str(2**26)}


class LocalProcesses(Executor):
    """So many processes of this machine; they are started when there is something for them."""

    def __init__(self, count: int) -> None:
        self.at_once = count
        self._threads = ThreadPoolExecutor(_SENT * count, "sccr-worker")
        self._places = [_Place() for _ in range(count)]
        self._free: queue.SimpleQueue[_Place] = queue.SimpleQueue()
        for place in self._places * _SENT:
            self._free.put(place)

    @property
    def pids(self) -> list[int]:
        """The processes that there are at this moment, by their numbers."""
        return [place.process.pid for place in self._places if place.process is not None]

    def map(
        self,
        function: Callable[[Item], Result],
        items: Iterable[Item],
        lost: Callable[[Item], Result] | None = None,
    ) -> Iterator[Result]:
        """Yield what comes of each item, in order; one whose process dies is sent to another, three times."""

        def submit(item: Item) -> Any:
            return self._threads.submit(self._done, function, item)

        return in_order(submit, items, lambda: _AHEAD * self.at_once, lost)

    def close(self) -> None:
        """End all processes at once: nothing that they do lasts."""
        for place in self._places:
            place.end()
        self._threads.shutdown(cancel_futures=True)

    def _done(self, function: Callable[[Item], Result], item: Item) -> Result:
        """Have an item done, in a thread that waits for it; there are as many as are sent at once."""
        died = 0
        while died < ATTEMPTS:
            place = self._free.get()
            try:
                well, result = place.alive().ask(function, item)
            except _Gone as gone:
                died += gone.at_work
            else:
                if well:
                    return result  # type: ignore[no-any-return]
                raise result
            finally:
                self._free.put(place)
        raise WorkerLost(f"it ended the process that worked on it, {ATTEMPTS} times")


class _Gone(Exception):
    """The process has ended; at_work: what was sent was being worked on, and did not only wait for its turn."""

    def __init__(self, at_work: bool) -> None:
        super().__init__(at_work)
        self.at_work = at_work


class _Place:
    """A place for a process, and another in it when the first has died."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._ended = False
        self.process: _Process | None = None

    def alive(self) -> "_Process":
        """Return the process, started if there is none. Raises NoWorkers if it does not start, or all are to end."""
        with self._lock:
            if self._ended:
                raise NoWorkers("the processes were ended")
            if self.process is not None and self.process.gone:
                self.process.close()
                self.process = None
            if self.process is None:
                self.process = _Process()
                self.process.wait_until_ready()
            return self.process

    def end(self) -> None:
        """End the process, and have no other."""
        with self._lock:
            self._ended = True
            if self.process is not None:
                self.process.close()
                self.process = None


class _Process:
    """A process that works for this one. It answers in the order in which it is asked, by several threads."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", worker.__name__],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**_MEMORY, **os.environ, "PYTHONPATH": os.pathsep.join(map(os.path.abspath, sys.path))},
            process_group=0,  # not in that of the terminal, which sends Ctrl-C to all that are
        )
        assert self._process.stdout is not None and self._process.stdin is not None
        self._source, self._sink = self._process.stdout, self._process.stdin
        self._sending = threading.Lock()
        self._telling = threading.Condition()
        self._asked = self._told = 0
        self.pid = self._process.pid
        self.gone = False
        _widen(self._source, self._sink)

    def ask(self, function: Callable[[Any], Any], item: Any) -> tuple[bool, Any]:
        """Return whether something was done, and what came of it. Raises _Gone where the process ends before."""
        with self._sending:
            turn = self._asked
            self._asked += 1
            with suppress(OSError):  # then there is no answer either
                send(self._sink, (function, item))
        with self._telling:
            self._telling.wait_for(lambda: self.gone or self._told == turn)
            try:
                if self.gone:
                    raise EOFError
                packed = receive(self._source)
                self._told += 1
            except (EOFError, OSError, ValueError):  # ValueError: it was closed
                self.gone = True
                raise _Gone(self._told == turn) from None
            finally:
                self._telling.notify_all()
        answer: tuple[bool, Any] = pickle.loads(packed)
        return answer

    def close(self) -> None:
        """End it, and have nothing left of it."""
        self._process.kill()
        self._process.wait()
        with self._sending, self._telling:
            for pipe in (self._source, self._sink):
                with suppress(OSError):  # what was to be sent has nobody to go to
                    pipe.close()

    def wait_until_ready(self) -> None:
        """Wait until it can be asked. Raises _Gone where it is killed before, and NoWorkers where it ends by itself."""
        try:
            receive(self._source)
        except EOFError:
            self.gone = True
            status = self._process.wait()
            if status < 0:
                raise _Gone(at_work=True) from None
            raise NoWorkers(f"a process that should rate ends as it starts, with status {status}") from None


def _widen(*pipes: IO[bytes]) -> None:
    for pipe in pipes:
        with suppress(OSError):  # a system may allow no more to one user
            fcntl.fcntl(pipe, fcntl.F_SETPIPE_SZ, _PIPE)
