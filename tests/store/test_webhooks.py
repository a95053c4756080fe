"""Webhooks: every message is sent to who wants it, by one sender at a time, until it is taken or given up."""

import pytest

from api.store import Delivery
from api.store import NotFound
from api.store import Store
from api.store import Webhook
from api.store import WrongState

from .conftest import SetClock

PAYLOAD = '{"batch":"B","é":1}'


@pytest.fixture
def hook(store: Store) -> Webhook:
    return store.add_webhook("https://erp.example/hook", "whsec_c2VjcmV0", ["batch.done", "rating.changed"], "me")


def sent(store: Store) -> Delivery:
    (delivery,) = store.announce("batch.done", PAYLOAD)
    return delivery


def test_a_webhook_is_kept_and_disabled(store: Store, hook: Webhook, clock: SetClock) -> None:
    assert (hook.events, hook.created_by, hook.disabled_at) == (("batch.done", "rating.changed"), "me", None)
    assert store.webhook(hook.id) == hook
    assert store.webhooks() == (hook,)
    clock.move(1)
    disabled = store.disable_webhook(hook.id)
    assert disabled.disabled_at == "2026-01-31T12:00:01.000000Z"
    clock.move(1)
    assert store.disable_webhook(hook.id) == disabled
    assert store.webhook("none") is None
    with pytest.raises(NotFound):
        store.disable_webhook("none")


def test_an_event_goes_to_whoever_wants_it(store: Store, hook: Webhook) -> None:
    other = store.add_webhook("https://mes.example/", "whsec_b3RoZXI=", ["batch.done"], "me")
    gone = store.add_webhook("https://old.example/", "whsec_b2xk", ["batch.done"], "me")
    store.disable_webhook(gone.id)
    made = store.announce("batch.done", PAYLOAD)
    assert [delivery.webhook_id for delivery in made] == [hook.id, other.id]
    assert len({delivery.event_id for delivery in made}) == 1
    assert all((each.event, each.payload, each.state) == ("batch.done", PAYLOAD, "pending") for each in made)
    assert [each.webhook_id for each in store.announce("rating.changed", "{}")] == [hook.id]
    assert store.announce("batch", "{}") == ()
    assert store.delivery(made[0].id) == made[0]


def test_a_message_is_sent_by_one_sender_at_a_time(store: Store, hook: Webhook, clock: SetClock) -> None:
    delivery = sent(store)
    (due,) = store.due_deliveries()
    assert (due.id, due.payload, due.attempts) == (delivery.id, PAYLOAD, 0)
    assert store.due_deliveries() == ()
    clock.move(60)
    assert [each.id for each in store.due_deliveries()] == [delivery.id], "its sender has died"
    store.delivered(delivery.id, 204)
    clock.move(3600)
    assert store.due_deliveries() == ()
    there = store.delivery(delivery.id)
    assert there is not None
    assert (there.state, there.attempts, there.last_status, there.next_at) == ("delivered", 1, 204, None)


def test_a_message_is_sent_again_until_it_is_given_up(store: Store, hook: Webhook, clock: SetClock) -> None:
    delivery = sent(store)
    store.due_deliveries()
    failed = store.failed(delivery.id, 503, "busy", "2026-01-31T12:05:00.000000Z")
    assert (failed.state, failed.attempts, failed.last_status, failed.last_error) == ("pending", 1, 503, "busy")
    clock.move(299)
    assert store.due_deliveries() == ()
    clock.move(1)
    assert [each.id for each in store.due_deliveries()] == [delivery.id]
    dead = store.failed(delivery.id, None, "no answer", None)
    assert (dead.state, dead.attempts, dead.last_status, dead.next_at) == ("dead", 2, None, None)
    clock.move(3600)
    assert store.due_deliveries() == ()
    assert store.deliveries(state="dead").items == (dead,)
    again = store.retry(delivery.id)
    assert (again.state, again.event_id) == ("pending", delivery.event_id)
    assert [each.id for each in store.due_deliveries()] == [delivery.id]
    with pytest.raises(WrongState, match="pending"):
        store.retry(delivery.id)
    with pytest.raises(NotFound):
        store.retry("none")


def test_what_was_taken_is_not_failed_by_a_sender_that_comes_late(store: Store, hook: Webhook) -> None:
    delivery = sent(store)
    store.delivered(delivery.id, 200)
    late = store.failed(delivery.id, None, "no answer", None)
    assert (late.state, late.attempts, late.last_status) == ("delivered", 1, 200)
    with pytest.raises(NotFound):
        store.delivered("none", 200)


def test_nothing_more_is_sent_to_a_disabled_webhook(store: Store, hook: Webhook) -> None:
    sent(store)
    store.disable_webhook(hook.id)
    assert store.due_deliveries() == ()


def test_messages_wait_their_turn_and_are_listed_newest_first(store: Store, hook: Webhook, clock: SetClock) -> None:
    made = []
    for _ in range(5):
        made.append(sent(store))
        clock.move(1)
    assert [each.id for each in store.due_deliveries(2)] == [each.id for each in made[:2]]
    assert [each.id for each in store.due_deliveries(9)] == [each.id for each in made[2:]]
    page = store.deliveries(limit=3)
    assert [each.id for each in page.items] == [each.id for each in made[:1:-1]]
    assert [each.id for each in store.deliveries(page.next).items] == [made[1].id, made[0].id]
    assert store.deliveries(webhook_id="none").items == ()
    assert len(store.deliveries(webhook_id=hook.id, state="pending").items) == 5
