"""One run over many panels in a process of its own, for `tests.bench.many`: prints what it took, as JSON.

`python -m tests.bench.many_run WORKERS COUNT [PID …]`: who rates, how many panels of 50 components, and the processes
that rate where they are none of this one's (those of a cluster, its scheduler last).
"""

import json
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from sccr.many import executor
from sccr.many import rate_many
from sccr.many.processes import LocalProcesses

from .lines import line_of

COMPONENTS = 50
#: Panels that are rated before, so that everything is imported and every cache is filled.
WARM = 300


def work_of(pid: int) -> float:
    """The processor time [s] the kernel has counted for a process: sched-stats.rst, /proc/<pid>/schedstat."""
    threads = Path(f"/proc/{pid}/task").iterdir()
    return sum(int((thread / "schedstat").read_text().split()[0]) for thread in threads) / 1e9


def panels(count: int) -> Iterator[bytes]:
    """So many panels, each under its own designation, made as they are needed."""
    text = json.dumps(line_of(COMPONENTS)).encode()
    name = f'"LINE-{COMPONENTS}"'.encode()
    assert name in text
    for number in range(count):
        yield text.replace(name, b'"L-%d"' % number)


def main(workers: str, count: int, others: list[int]) -> None:
    with executor(workers) as by, Path(os.devnull).open("wb") as sink:

        def rate(some: int) -> int:
            return sum(sink.write(each.text or b"") for each in rate_many(panels(some), workers=by))

        rate(WARM)
        pids = by.pids if isinstance(by, LocalProcesses) else others
        before = {pid: work_of(pid) for pid in [os.getpid(), *pids]}
        began = time.perf_counter()
        written = rate(count)
        seconds = time.perf_counter() - began
        done = [work_of(pid) - each for pid, each in before.items()]
    status = Path("/proc/self/status").read_text()
    [peak] = [int(line.split()[1]) * 1024 for line in status.splitlines() if line.startswith("VmHWM:")]
    told = {"seconds": seconds, "work": done, "peak": peak, "bytes": written}
    print(json.dumps(told))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), [int(pid) for pid in sys.argv[3:]])
