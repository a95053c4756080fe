"""Batches: every line is worked on, finished once, and comes out in the order in which it came in."""

from collections.abc import Iterator

import pytest

from api.store import Batch
from api.store import FinishedLine
from api.store import NotFound
from api.store import Store
from api.store import WrongState

from .conftest import SetClock
from .conftest import panel
from .conftest import rated

#: What a caller may send: no JSON, no UTF-8, NUL, nothing.
ODD = [b'{"a":1}', b"", b"\x00\xff\xfe", "é🌾".encode(), b"x" * 100_000]


def sealed(store: Store, count: int, by: str = "ERP") -> Batch:
    batch = store.create_batch(by, {"edition": "SB"})
    store.add_lines(batch.id, [f"line {number}".encode() for number in range(1, count + 1)])
    return store.seal(batch.id)


def finish(store: Store, worker: str, batch: Batch, *lines: int, failed: bool = False) -> list[int]:
    done = [FinishedLine(batch.id, line, f'{{"line":{line}}}', failed) for line in lines]
    return [line for _, line in store.finish_lines(worker, done).accepted]


def test_a_batch_is_received_line_by_line(store: Store) -> None:
    batch = store.create_batch("ERP", {"edition": "SB"})
    assert (batch.by, batch.state, batch.total, batch.lines) == ("ERP", "receiving", None, 0)
    assert (batch.options, batch.created_at) == ({"edition": "SB"}, "2026-01-31T12:00:00.000000Z")
    assert store.add_lines(batch.id, ODD[:2]) == 2
    assert store.add_lines(batch.id, iter(ODD[2:])) == 5
    assert store.add_lines(batch.id, []) == 5
    assert store.claim_lines("worker", 10) == (), "not before it is whole"
    done = store.seal(batch.id)
    assert (done.state, done.total, done.lines) == ("queued", 5, 5)
    claimed = store.claim_lines("worker", 10)
    assert [line.input for line in claimed] == ODD
    assert [(line.batch, line.line) for line in claimed] == [(batch.id, number) for number in range(1, 6)]
    assert claimed[0].options == {"edition": "SB"}
    running = store.batch(batch.id)
    assert running is not None
    assert running.state == "running"


def test_more_lines_than_fit_into_one_transaction(store: Store) -> None:
    batch = sealed(store, 1_234)
    assert batch.total == 1_234
    lines = [line for _ in range(13) for line in store.claim_lines("worker", 100)]
    assert [line.input for line in lines] == [f"line {number}".encode() for number in range(1, 1_235)]


def test_what_came_before_the_sender_broke_off_is_there(store: Store) -> None:
    batch = store.create_batch("ERP")

    def broken() -> Iterator[bytes]:
        yield from [b"line"] * 700
        raise ConnectionError

    with pytest.raises(ConnectionError):
        store.add_lines(batch.id, broken())
    there = store.batch(batch.id)
    assert there is not None
    assert (there.lines, there.state) == (500, "receiving")
    ended = store.fail_batch(batch.id, "the sender broke off")
    assert (ended.state, ended.reason, ended.finished_at) == (
        *("failed", "the sender broke off"),
        "2026-01-31T12:00:00.000000Z",
    )


def test_a_batch_without_lines_is_done(store: Store) -> None:
    batch = store.seal(store.create_batch("ERP").id)
    assert (batch.state, batch.total, batch.done) == ("done", 0, 0)
    assert batch.finished_at is not None
    assert store.results(batch.id) == ()


def test_a_batch_goes_to_its_end(store: Store) -> None:
    batch = sealed(store, 3)
    store.claim_lines("worker", 10)
    outcome = store.finish_lines("worker", [FinishedLine(batch.id, 2, "{}", failed=True)])
    assert (outcome.accepted, outcome.ended) == (((batch.id, 2),), ())
    there = store.batch(batch.id)
    assert there is not None
    assert (there.state, there.done, there.failed) == ("running", 1, 1)
    outcome = store.finish_lines("worker", [FinishedLine(batch.id, line, "{}") for line in (3, 1)])
    ended = store.batch(batch.id)
    assert outcome.ended == (ended,)
    assert ended is not None
    assert (ended.state, ended.done, ended.failed, ended.total) == ("done", 3, 1, 3)
    assert ended.finished_at is not None
    assert store.claim_lines("worker", 10) == ()


def test_results_come_in_order_and_without_gaps(store: Store) -> None:
    batch = sealed(store, 6)
    store.claim_lines("worker", 10)

    def lines(after: int = 0, limit: int = 10) -> list[int]:
        return [result.line for result in store.results(batch.id, after, limit)]

    assert lines() == []
    finish(store, "worker", batch, 2, 3)
    assert lines() == [], "line 1 is not finished: a reader that saw 2 would never look for it"
    finish(store, "worker", batch, 1)
    assert lines() == [1, 2, 3]
    finish(store, "worker", batch, 6, 5, failed=True)
    assert lines(3) == []
    finish(store, "worker", batch, 4)
    assert (lines(), lines(3), lines(2, 2), lines(6)) == ([1, 2, 3, 4, 5, 6], [4, 5, 6], [3, 4], [])
    assert store.results(batch.id)[4] == store.results(batch.id, 4, 1)[0]
    assert [result.failed for result in store.results(batch.id)] == [False] * 4 + [True] * 2
    assert store.results(batch.id)[0].result == '{"line":1}'


def test_no_more_results_are_read_at_once_than_a_process_should_hold(store: Store) -> None:
    batch = sealed(store, 6)
    store.claim_lines("worker", 9)
    lengths = [*[300_000] * 4, 3 * 2**20, 1]
    done = [FinishedLine(batch.id, line, "1" * length) for line, length in enumerate(lengths, 1)]
    store.finish_lines("worker", done)
    read: list[list[int]] = []
    while some := store.results(batch.id, read[-1][-1] if read else 0):
        read.append([result.line for result in some])
    assert read == [[1, 2, 3], [4], [5], [6]]
    assert [result.line for result in store.results(batch.id, 5, 9)] == [6]


def test_a_line_is_lent_to_one_worker_at_a_time(store: Store, clock: SetClock) -> None:
    batch = sealed(store, 4)
    assert [line.line for line in store.claim_lines("one", 2)] == [1, 2]
    assert [line.line for line in store.claim_lines("two", 9)] == [3, 4]
    assert store.claim_lines("three", 9) == ()
    clock.move(59.9)
    assert store.claim_lines("three", 9) == ()
    finish(store, "two", batch, 3)
    clock.move(0.1)
    assert lent(store, "three", 4) == [[1], [2], [4], []]


def test_a_lease_that_ends_far_in_the_future_is_over_when_the_clock_was_set_back(store: Store, clock: SetClock) -> None:
    batch = sealed(store, 2)
    assert [line.line for line in store.claim_lines("dead", 9)] == [1, 2]
    clock.move(-1800)
    assert store.claim_lines("one", 9) == (), "a lease may be as long as that"
    clock.move(-24 * 3600)
    assert lent(store, "one", 3) == [[1], [2], []]
    assert store.finish_lines("dead", [FinishedLine(batch.id, 1, "{}")]).accepted == ()


def lent(store: Store, worker: str, times: int) -> list[list[int]]:
    return [[line.line for line in store.claim_lines(worker, 9)] for _ in range(times)]


def test_a_line_that_was_lent_in_vain_is_lent_alone_and_says_how_often(store: Store, clock: SetClock) -> None:
    batch = sealed(store, 12)
    assert {line.attempt for line in store.claim_lines("one", 3)} == {1}
    clock.move(60)
    assert lent(store, "two", 3) == [[1], [2], [3]], "whichever of them ended the worker ends it alone now"
    finish(store, "two", batch, 1, 3)
    assert lent(store, "three", 2) == [[4, 5, 6, 7, 8, 9, 10, 11, 12], []]
    for attempt in (3, 4, 5):
        clock.move(60)
        [again] = store.claim_lines("four", 9)
        assert (again.line, again.attempt) == (2, attempt)


def test_a_line_that_was_given_back_was_never_lent(store: Store) -> None:
    batch = sealed(store, 4)
    claimed = store.claim_lines("one", 4)
    finish(store, "one", batch, 1)
    store.return_lines("stranger", claimed)
    assert store.claim_lines("two", 9) == ()
    store.return_lines("one", claimed)
    again = store.claim_lines("two", 9)
    assert [(line.line, line.attempt) for line in again] == [(2, 1), (3, 1), (4, 1)]
    assert finish(store, "one", batch, 2) == [], "what was given back is another's"
    store.return_lines("two", [])


def test_no_more_is_lent_at_once_than_a_worker_should_hold(store: Store) -> None:
    batch = store.create_batch("ERP")
    store.add_lines(batch.id, [b"x" * 3 * 2**19] * 5 + [b"x" * 5 * 2**20, b"x"])
    store.seal(batch.id)
    assert lent(store, "one", 5) == [[1, 2], [3, 4], [5], [6], [7]]


def test_a_line_is_finished_once_and_by_whom_it_is_lent_to(store: Store, clock: SetClock) -> None:
    batch = sealed(store, 2)
    store.claim_lines("slow", 2)
    clock.move(60)
    store.claim_lines("quick", 1)
    assert finish(store, "slow", batch, 1, 2) == [2], "line 2 is still its own: nobody has taken it"
    assert finish(store, "slow", batch, 2) == []
    assert finish(store, "stranger", batch, 1) == []
    assert finish(store, "quick", batch, 1) == [1]
    assert finish(store, "quick", batch, 1) == []
    there = store.batch(batch.id)
    assert there is not None
    assert (there.done, there.state) == (2, "done")


def test_a_record_is_kept_with_its_line_or_not_at_all(store: Store, clock: SetClock) -> None:
    batch = sealed(store, 2)
    store.claim_lines("slow", 2)
    clock.move(60)
    store.claim_lines("quick", 1)
    new = rated(panel())
    for worker, records in (("slow", 1), ("quick", 2), ("quick", 2)):
        finished = [FinishedLine(batch.id, line, "{}", record=new) for line in (1, 2)]
        store.finish_lines(worker, finished)
        assert len(store.records().items) == records


def test_the_oldest_batch_comes_first(store: Store) -> None:
    first, second = sealed(store, 2), sealed(store, 2)
    claimed = store.claim_lines("worker", 3)
    assert [(line.batch, line.line) for line in claimed] == [(first.id, 1), (first.id, 2), (second.id, 1)]
    done = [FinishedLine(line.batch, line.line, "{}") for line in claimed]
    assert [batch.id for batch in store.finish_lines("worker", done[::-1]).ended] == [first.id]


def test_a_cancelled_batch_keeps_what_is_finished_and_gives_out_no_more(store: Store) -> None:
    batch = sealed(store, 4)
    store.claim_lines("worker", 3)
    finish(store, "worker", batch, 2)
    cancelled = store.cancel_batch(batch.id)
    assert (cancelled.state, cancelled.done) == ("cancelled", 1)
    assert store.claim_lines("worker", 9) == ()
    assert finish(store, "worker", batch, 1, 3) == [1, 3], "it was worked on when the batch was cancelled"
    there = store.batch(batch.id)
    assert there is not None
    assert (there.state, there.done) == ("cancelled", 3)
    assert [result.line for result in store.results(batch.id)] == [1, 2, 3]
    assert store.cancel_batch(batch.id) == store.fail_batch(batch.id, "no") == there


def test_what_a_batch_is_past_is_refused(store: Store) -> None:
    batch = sealed(store, 1)
    for late in (lambda: store.add_lines(batch.id, [b"late"]), lambda: store.seal(batch.id)):
        with pytest.raises(WrongState, match="queued"):
            late()
    for missing in (
        lambda: store.add_lines("none", []),
        lambda: store.seal("none"),
        lambda: store.cancel_batch("none"),
        lambda: store.results("none"),
        lambda: store.finish_lines("worker", [FinishedLine("none", 1, "{}")]),
    ):
        with pytest.raises(NotFound):
            missing()
    assert store.batch("none") is None


def test_batches_are_listed_newest_first(store: Store) -> None:
    made = [sealed(store, 1, by) for by in ("ERP", "ERP", "me")]
    store.cancel_batch(made[0].id)
    page = store.batches(limit=2)
    assert [batch.id for batch in page.items] == [made[2].id, made[1].id]
    assert [batch.id for batch in store.batches(page.next, 2).items] == [made[0].id]
    assert [batch.id for batch in store.batches(by="ERP").items] == [made[1].id, made[0].id]
    assert [batch.id for batch in store.batches(state="queued").items] == [made[2].id, made[1].id]
