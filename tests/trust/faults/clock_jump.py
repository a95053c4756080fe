"""The clock of the wall set forth and back under load, by minutes and by a day."""

import os
import signal
from pathlib import Path

from .asking import Load
from .served import LOST
from .served import served
from .whole import Held
from .whole import held

HOUR = 3600
#: By how much, one after the other [s]. Answers are kept for 24 hours: the clock never goes forth by as much.
JUMPS = (12 * HOUR, -36 * HOUR, 90, -HOUR, 4 * HOUR, -600)


def jumped(database: str, folder: Path, jumps: tuple[float, ...] = JUMPS, seconds: float = 0.6, seed: int = 1) -> Held:
    """Move the clock while callers ask, and each time it is set back kill who answers and who works.

    What these held was claimed, by the clock, in the future: it must not be held until that has come.
    """
    with served(folder, database) as service:
        load = Load(service, seed, may_break=True)

        def jump(by: float) -> None:
            for process in (*service.workers(), *service.working()) if by < 0 else ():
                os.kill(process, signal.SIGKILL)
            service.move_clock(by)

        for by in jumps:
            load.run(seconds, lambda: jump(by))  # noqa: B023
            service.move_clock(LOST)
            load.settle()
        load.run(seconds)
        found = held(load)
        return found + Held(0, [], [*load.ledger.faults, *service.failures()])
