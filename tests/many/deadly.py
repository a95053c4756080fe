"""Functions for the processes that work: some end the process, as memory that runs out does."""

import os
import signal
import time
from pathlib import Path

from sccr.many.chunks import Chunk
from sccr.many.outcome import Outcome
from sccr.many.rating import rated_chunk


def square(number: int) -> int:
    return number**2


def slow(item: tuple[int, float]) -> int:
    number, seconds = item
    time.sleep(seconds)
    return number


def number_of_process(_: int) -> int:
    time.sleep(0.05)
    return os.getpid()


def fail(number: int) -> int:
    raise LookupError(f"no {number}")


def printing(number: int) -> int:
    os.write(1, b"a library says something\n")
    return number


def end(_: int) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


def deadly(item: tuple[int, Path, int]) -> int:
    """End the process, so often as the item says; each time leaves a file behind."""
    number, folder, times = item
    tried = len(list(folder.glob(f"{number}-*")))
    if tried < times:
        (folder / f"{number}-{tried}").touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def rated_unless_deadly(chunk: Chunk) -> list[Outcome]:
    """Rate a chunk, unless a panel of it is called DEADLY."""
    if any(b"DEADLY" in document for document in chunk.documents if isinstance(document, bytes)):
        os.kill(os.getpid(), signal.SIGKILL)
    return rated_chunk(chunk)
