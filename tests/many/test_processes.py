"""Processes of this machine: in order, each once, whatever happens to them."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sccr.errors import NoWorkers
from sccr.errors import WorkerLost
from sccr.many.executors import Executor
from sccr.many.executors import InThisProcess
from sccr.many.processes import LocalProcesses
from tests.many.deadly import deadly
from tests.many.deadly import fail
from tests.many.deadly import number_of_process
from tests.many.deadly import printing
from tests.many.deadly import slow
from tests.many.deadly import square
from tests.work.serving import eventually

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("by", [InThisProcess(), LocalProcesses(1), LocalProcesses(3)])
def test_results_come_in_the_order_of_the_items(by: Executor) -> None:
    with by:
        assert list(by.map(square, range(50))) == [number**2 for number in range(50)]
        assert list(by.map(square, [])) == []


def test_one_that_takes_long_keeps_its_place() -> None:
    items = [(0, 0.3), *((number, 0.0) for number in range(1, 20))]
    with LocalProcesses(2) as by:
        assert list(by.map(slow, items)) == [*range(20)]


def test_all_processes_work() -> None:
    with LocalProcesses(2) as by:
        assert len(set(by.map(number_of_process, range(20)))) == 2


def test_what_the_function_raises_is_raised_here_and_told_from_where() -> None:
    with LocalProcesses(1) as by:
        with pytest.raises(LookupError, match="no 1") as raised:
            list(by.map(fail, [1]))
        assert "deadly.py" in raised.value.__notes__[0]
        assert list(by.map(square, [3])) == [9], "the process goes on"


def test_what_somebody_prints_does_not_come_between_the_answers() -> None:
    with LocalProcesses(1) as by:
        assert list(by.map(printing, range(3))) == [0, 1, 2]


def test_what_a_process_had_that_dies_is_done_by_another(tmp_path: Path) -> None:
    items = [(number, tmp_path, 2 if number % 5 == 0 else 0) for number in range(20)]
    with LocalProcesses(2) as by:
        assert list(by.map(deadly, items)) == [*range(20)]
    assert len(list(tmp_path.iterdir())) == 8


def test_what_ends_its_process_three_times_is_lost_and_the_others_are_done(tmp_path: Path) -> None:
    items = [(number, tmp_path, 9 if number == 3 else 0) for number in range(6)]
    with LocalProcesses(2) as by:
        assert list(by.map(deadly, items, lambda item: -item[0])) == [0, 1, 2, -3, 4, 5]
        assert len(list(tmp_path.iterdir())) == 3
        with pytest.raises(WorkerLost):
            list(by.map(deadly, [(7, tmp_path, 9)]))


def test_processes_killed_in_the_middle_by_somebody_else_lose_nothing() -> None:
    with LocalProcesses(2) as by:
        found = []
        for number in by.map(slow, ((number, 0.01) for number in range(60))):
            found.append(number)
            if number in (10, 11, 30):
                os.kill(by.pids[0], signal.SIGKILL)
    assert found == [*range(60)]


def test_nobody_is_left_when_it_is_closed_early() -> None:
    with LocalProcesses(2) as by:
        # A long one may be worked on before the first three are told. Then it is waited for; behind it are others.
        results = by.map(slow, ((number, 60.0 if number > 4 else 0.0) for number in range(50)))
        assert [next(results) for _ in range(3)] == [0, 1, 2]
        pids = by.pids
        began = time.monotonic()
    assert time.monotonic() - began < 50
    assert not any(Path(f"/proc/{pid}").exists() for pid in pids)
    with pytest.raises(RuntimeError, match="after shutdown"):
        list(by.map(square, [1]))


def test_processes_that_do_not_start_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/bin/false")
    with LocalProcesses(2) as by, pytest.raises(NoWorkers, match="status 1"):
        list(by.map(square, range(5)))


STARTS = """
import os, sys, time
from sccr.many.processes import LocalProcesses
from tests.many.deadly import slow
by = LocalProcesses(2)
results = by.map(slow, ((number, 0.0 if number < 4 else 60.0) for number in range(100)))
[next(results) for _ in range(4)]
print(*by.pids, flush=True)
time.sleep(60)
"""


def test_they_end_with_the_one_that_started_them_however_that_ends() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", STARTS.replace("60.0", "0.3")], cwd=ROOT, stdout=subprocess.PIPE, text=True
    ) as starts:
        assert starts.stdout is not None
        pids = [int(pid) for pid in starts.stdout.readline().split()]
        starts.kill()
    assert len(pids) == 2
    assert eventually(lambda: not any(_alive(pid) for pid in pids))


def _alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False
