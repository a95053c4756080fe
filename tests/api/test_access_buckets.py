"""The limit of the rate: buckets that fill as time goes by, the same for threads and for processes."""

import multiprocessing
from concurrent.futures import ThreadPoolExecutor

import pytest

from api.access import Buckets


class Clock:
    """A time that passes when it is told to."""

    def __init__(self) -> None:
        self.now = 1_000_000.0

    def __call__(self) -> float:
        return self.now


@pytest.mark.parametrize("quota", [1, 2, 7, 60, 600, 997])
@pytest.mark.parametrize("window", [1, 60, 3600])
def test_a_full_bucket_holds_the_quota_and_no_more(quota: int, window: int) -> None:
    clock = Clock()
    buckets = Buckets(quota, window, clock)
    verdicts = [buckets.take("a") for _ in range(quota + 1)]
    assert [verdict.passes for verdict in verdicts] == [True] * quota + [False]
    assert [verdict.remaining for verdict in verdicts] == [*range(quota - 1, -1, -1), 0]
    clock.now += window
    assert [buckets.take("a").passes for _ in range(quota + 1)] == [True] * quota + [False]


def test_it_fills_as_time_goes_by() -> None:
    clock = Clock()
    buckets = Buckets(6, 60, clock)
    for _ in range(6):
        buckets.take("a")
    refused = buckets.take("a")
    assert (refused.passes, refused.full_in, refused.retry_in) == (False, 60, 10)
    clock.now += refused.retry_in
    assert buckets.take("a").passes
    assert not buckets.take("a").passes


def test_who_asks_too_often_is_not_pushed_back_by_it() -> None:
    clock = Clock()
    buckets = Buckets(1, 60, clock)
    assert buckets.take("a").passes
    for _ in range(59):
        clock.now += 1
        buckets.take("a")
    clock.now += 1
    assert buckets.take("a").passes


def test_over_a_long_time_as_many_pass_as_are_said_to() -> None:
    clock = Clock()
    buckets = Buckets(60, 60, clock)
    passed = 0
    for _ in range(36_000):
        passed += buckets.take("a").passes
        clock.now += 0.1
    assert 3600 <= passed <= 3660


def test_callers_do_not_take_from_each_other() -> None:
    buckets = Buckets(2, 60, Clock())
    for name in (f"key {number}" for number in range(200)):
        assert [buckets.take(name).passes for _ in range(3)] == [True, True, False]


def test_more_callers_than_rows_are_served_from_the_same_memory() -> None:
    clock = Clock()
    buckets = Buckets(1, 60, clock)
    assert all(buckets.take(f"key {number}").passes for number in range(20_000))
    clock.now += 60
    assert buckets.take("key 0").passes


def _take(buckets: Buckets, times: int, out: "multiprocessing.Queue[int]") -> None:
    with ThreadPoolExecutor(4) as threads:
        out.put(sum(threads.map(lambda _: buckets.take("a").passes, range(times))))


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_processes_and_their_threads_share_one_bucket() -> None:
    context = multiprocessing.get_context("fork")
    buckets = Buckets(500, 3600)
    out = context.Queue()
    workers = [context.Process(target=_take, args=(buckets, 400, out)) for _ in range(4)]
    for worker in workers:
        worker.start()
    passed = sum(out.get(timeout=60) for _ in workers)
    for worker in workers:
        worker.join(timeout=60)
    assert passed == 500
