"""The one value that says who rates."""

import os

import pytest

from sccr.errors import NoWorkers
from sccr.many import executor
from sccr.many import workers_of
from sccr.many.executors import InThisProcess
from sccr.many.processes import LocalProcesses


@pytest.mark.parametrize(
    ("value", "meant"),
    [
        (2, 2),
        ("2", 2),
        (0, 0),
        ("tcp://127.0.0.1:8786", "tcp://127.0.0.1:8786"),
        ("tls://a.example:1", "tls://a.example:1"),
    ],
)
def test_what_a_value_means(value: int | str, meant: int | str) -> None:
    assert workers_of(value) == meant


@pytest.mark.parametrize(
    "value",
    [
        -1,
        513,
        True,
        "two",
        "",
        " ",
        "1.5",
        "http://a.example",
        "tcp://",
        "tcp://a",
        "tcp://a:x",
        "tcp://a:65536",
        "tcp://u@a:1",
        "²",
        "1" * 5_000,
    ],
)
def test_another_value_is_refused_with_what_to_write(value: int | str) -> None:
    with pytest.raises(ValueError, match=r"write how many processes \(0 to 512\), or the address"):
        workers_of(value)


def test_without_a_value_the_environment_says_it_and_else_there_is_one_for_each_core(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("SCCR_WORKERS", raising=False)
    assert workers_of(None) == len(os.sched_getaffinity(0))
    monkeypatch.setenv("SCCR_WORKERS", "")
    assert workers_of(None) == len(os.sched_getaffinity(0))
    monkeypatch.setenv("SCCR_WORKERS", " 7 ")
    assert workers_of(None) == 7
    monkeypatch.setenv("SCCR_WORKERS", "many")
    with pytest.raises(ValueError, match="'many'"):
        workers_of(None)


def test_who_rates() -> None:
    assert isinstance(executor(0), InThisProcess)
    with executor("3") as three:
        assert isinstance(three, LocalProcesses)
        assert three.at_once == 3


@pytest.mark.parametrize(
    "address", ["tcp://10.1.2.3:8786", "tcp://scheduler.example:8786", "tcp://0.0.0.0:1", "tcp://127.0.0.1.example:1"]
)
def test_no_cluster_on_another_machine_is_spoken_to_in_the_open(address: str) -> None:
    with pytest.raises(NoWorkers, match="use tls://"):
        executor(address)
