"""A request that is sent again is not done again."""

from dataclasses import replace

import pytest

from api.store import Store

from .conftest import SetClock
from .conftest import panel
from .conftest import rated

ASKED = ("POST /v1/orders", "key-1", "fingerprint")
HEADERS = (("Content-Type", "application/json"), ("ETag", '"é"'))
BODY = b'{"id":1}\x00\xff'


def test_the_first_is_done_and_the_others_get_its_answer(store: Store) -> None:
    claim = store.claim(*ASKED)
    assert (claim.state, claim.scope, claim.key) == ("new", *ASKED[:2])
    assert store.claim(*ASKED).state == "in_flight"
    assert store.finish(claim, 201, HEADERS, BODY)
    for _ in range(2):
        again = store.claim(*ASKED)
        assert (again.state, again.status, again.headers, again.body) == ("replay", 201, HEADERS, BODY)
        assert again.token is None


def test_a_key_used_for_another_request_is_told(store: Store) -> None:
    claim = store.claim(*ASKED)
    assert store.claim(*ASKED[:2], "other").state == "mismatch"
    store.finish(claim, 201, HEADERS, BODY)
    assert store.claim(*ASKED[:2], "other").state == "mismatch"
    assert store.claim("PUT /v1/orders", *ASKED[1:]).state == "new"
    assert store.claim(ASKED[0], "key-2", ASKED[2]).state == "new"


def test_a_request_that_was_not_done_may_be_sent_again(store: Store) -> None:
    store.forget(store.claim(*ASKED))
    assert store.claim(*ASKED).state == "new"


def test_a_claim_that_got_no_answer_is_taken_over_and_the_first_comes_too_late(store: Store, clock: SetClock) -> None:
    lost = store.claim(*ASKED)
    clock.move(59.999)
    assert store.claim(*ASKED).state == "in_flight"
    clock.move(0.001)
    taken = store.claim(*ASKED)
    assert taken.state == "new"
    assert taken.token != lost.token
    assert not store.finish(lost, 500, (), b"late")
    store.forget(lost)
    assert store.claim(*ASKED).state == "in_flight"
    assert store.finish(taken, 201, HEADERS, BODY)
    assert not store.finish(taken, 200, (), b"twice")
    store.forget(taken)
    assert store.claim(*ASKED).body == BODY


def test_a_lost_claim_may_be_taken_over_for_another_request(store: Store, clock: SetClock) -> None:
    store.claim(*ASKED)
    clock.move(61)
    assert store.claim(*ASKED[:2], "other").state == "new"
    assert store.claim(*ASKED).state == "mismatch"


def test_an_answer_is_kept_for_a_day(store: Store, clock: SetClock) -> None:
    store.finish(store.claim(*ASKED), 201, HEADERS, BODY)
    clock.move(24 * 3600 - 1)
    assert store.claim(*ASKED).state == "replay"
    assert store.forget_expired() == 0
    clock.move(1)
    again = store.claim(*ASKED)
    assert (again.state, again.body) == ("new", b"")
    assert store.claim(*ASKED).state == "in_flight", "the answer of yesterday is gone"


def test_expired_answers_are_forgotten(store: Store, clock: SetClock) -> None:
    store.finish(store.claim(*ASKED), 201, HEADERS, BODY)
    clock.move(24 * 3600)
    store.claim(ASKED[0], "key-2", "fingerprint")
    assert store.forget_expired() == 1
    assert store.claim(ASKED[0], "key-2", "fingerprint").state == "in_flight"


def test_work_and_answer_are_one_transaction(store: Store) -> None:
    claim = store.claim(*ASKED)
    with pytest.raises(ZeroDivisionError), store.transaction():
        store.append_record(rated(panel()))
        assert store.finish(claim, 201, HEADERS, BODY)
        raise ZeroDivisionError
    assert store.records().items == ()
    assert store.claim(*ASKED).state == "in_flight"
    with store.transaction():
        record = store.append_record(rated(panel()))
        assert store.finish(claim, 201, HEADERS, record.id.encode())
    assert [each.id.encode() for each in store.records().items] == [store.claim(*ASKED).body]


def test_who_was_overtaken_can_undo_the_work(store: Store, clock: SetClock) -> None:
    lost = store.claim(*ASKED)
    clock.move(61)
    taken = store.claim(*ASKED)
    with pytest.raises(ZeroDivisionError), store.transaction():
        store.append_record(rated(panel()))
        if not store.finish(lost, 201, HEADERS, BODY):
            raise ZeroDivisionError
    assert store.records().items == ()
    assert store.finish(replace(taken), 201, HEADERS, BODY)


def test_a_claim_of_the_future_is_lost_when_the_clock_was_set_back(store: Store, clock: SetClock) -> None:
    """Whoever made it may have died: its key must not be in use until the clock comes to that moment again."""
    lost = store.claim(*ASKED)
    clock.move(-24 * 3600)
    taken = store.claim(*ASKED)
    assert taken.state == "new"
    assert store.claim(*ASKED).state == "in_flight"
    assert not store.finish(lost, 201, HEADERS, BODY)
    assert store.finish(taken, 201, HEADERS, BODY)
    clock.move(-24 * 3600)
    assert store.claim(*ASKED).state == "replay", "what was answered stays answered"
