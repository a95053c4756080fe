"""Processes of this machine that rate, each lent one chunk at a time.

They are started as programs of their own: nothing is forked from a program that may have threads, no script is run
again because it lacks a guard, and Ctrl-C reaches the one that started them and not them. Each has a pipe of its own,
so that one which is killed, even in the middle of its answer, is known at once, with what it had.
"""

import os
import pickle
import queue
import subprocess
import sys
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

#: So many items a process may be under way: one in work, one ready to be sent, one that waits for its turn to be told.
_AHEAD: Final = 3


class LocalProcesses(Executor):
    """So many processes of this machine; they are started when there is something for them."""

    def __init__(self, count: int) -> None:
        self.at_once = count
        self._threads = ThreadPoolExecutor(count, "sccr-worker")
        self._free: queue.SimpleQueue[_Process | None] = queue.SimpleQueue()
        self._started: list[_Process] = []
        self._closed = False
        for _ in range(count):
            self._free.put(None)

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
        self._closed = True
        for process in [*self._started]:
            process.kill()
        self._threads.shutdown(cancel_futures=True)
        for process in self._started:
            process.close()

    def _done(self, function: Callable[[Item], Result], item: Item) -> Result:
        """Have an item done, in a thread that waits for it. There are as many threads as processes."""
        for _ in range(ATTEMPTS):
            process = self._free.get()
            try:
                if process is None:
                    process = self._start()
                well, result = process.ask(function, item)
            except _Gone:
                self._bury(process)
                process = None
            else:
                if well:
                    return result  # type: ignore[no-any-return]
                raise result
            finally:
                self._free.put(process)
        raise WorkerLost(f"it ended the process that worked on it, {ATTEMPTS} times")

    def _start(self) -> "_Process":
        if self._closed:
            raise NoWorkers("the processes were ended")
        process = _Process()
        self._started.append(process)
        return process

    def _bury(self, process: "_Process | None") -> None:
        assert process is not None
        self._started.remove(process)
        process.close()


class _Gone(Exception):
    """The process has ended."""


class _Process:
    """A process that works for this one."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", worker.__name__],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(map(os.path.abspath, sys.path))},
            process_group=0,  # not in that of the terminal, which sends Ctrl-C to all that are
        )
        self._ready = False

    def ask(self, function: Callable[[Any], Any], item: Any) -> tuple[bool, Any]:
        """Return whether something was done, and what came of it. Raises _Gone, and NoWorkers if it never was ready."""
        source, sink = self._pipes()
        try:
            if not self._ready:
                self._ready = pickle.loads(receive(source)) == (True, worker.READY)
            send(sink, (function, item))
            answer: tuple[bool, Any] = pickle.loads(receive(source))
        except (EOFError, OSError):
            status = self._process.wait()
            if not self._ready and status > 0:
                raise NoWorkers(f"a process that should rate ends as it starts, with status {status}") from None
            raise _Gone from None
        return answer

    def kill(self) -> None:
        """End it, whatever it does."""
        self._process.kill()

    def close(self) -> None:
        """End it, and have nothing left of it."""
        self._process.kill()
        self._process.wait()
        for pipe in self._pipes():
            with suppress(OSError):  # what was to be sent has nobody to go to
                pipe.close()

    def _pipes(self) -> tuple[IO[bytes], IO[bytes]]:
        source, sink = self._process.stdout, self._process.stdin
        assert source is not None and sink is not None
        return source, sink
