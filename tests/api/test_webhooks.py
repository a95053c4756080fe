"""Webhooks: who may be told, how messages are signed, sent again and given up, and what they tell."""

import json
from collections.abc import Iterator
from contextlib import closing
from copy import deepcopy
from datetime import UTC
from datetime import datetime
from datetime import timedelta
from ipaddress import ip_address
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from standardwebhooks import Webhook as Verifier

from api import create_app
from api.settings import Settings
from api.store import Put
from api.store import Store
from api.store import open_store
from api.webhook_sending import next_pause
from api.webhook_targets import AllowList
from api.webhook_targets import NotAllowed
from api.webhook_targets import is_public
from api.work.reviewing import Review

from .prepared import BETTER_CONTACTOR
from .prepared import CONTACTOR
from .prepared import DESIGNATION
from .prepared import ELEVATOR
from .prepared import ORDER
from .prepared import clock as prepared_clock
from .prepared import fill
from .receiving import Receiver
from .receiving import app_on
from .receiving import end_a_batch
from .receiving import register
from .receiving import send


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    made = Receiver()
    yield made
    made.close()


class Clock:
    """A clock that is moved on by hand."""

    def __init__(self) -> None:
        self.now = datetime.now(UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(database: str, clock: Clock) -> Iterator[Store]:
    with closing(open_store(database, clock=clock)) as opened:
        yield opened


@pytest.fixture
def prepared(database: str) -> Iterator[Store]:
    """A store with an order in it."""
    with closing(open_store(database, clock=prepared_clock)) as opened:
        fill(opened)
        yield opened


def test_the_end_of_a_batch_is_told_signed_as_the_standard_says(store: Store, receiver: Receiver) -> None:
    app = app_on(store, receiver)
    made = register(app.test_client(), f"{receiver.origin}/hook?who=erp")
    assert made.status_code == 201
    id = end_a_batch(app)
    assert send(app)
    [(headers, body)] = receiver.received
    told = Verifier(made.get_json()["secret"]).verify(body, headers)
    assert (told["type"], told["data"]["id"], told["data"]["state"]) == ("batch.ended", id, "done")
    assert (told["data"]["total"], told["data"]["failed"]) == (1, 1)
    assert headers["content-type"] == "application/json"
    with pytest.raises(Exception, match="No matching signature"):
        Verifier(made.get_json()["secret"]).verify(body + b" ", headers)
    [delivery] = app.test_client().get("/v1/deliveries").get_json()["deliveries"]
    assert (delivery["state"], delivery["attempts"], delivery["last_status"]) == ("delivered", 1, 204)
    assert delivery["event_id"] == headers["webhook-id"]
    assert not send(app), "it is sent once"


def test_a_cancelled_batch_has_ended_too(store: Store, receiver: Receiver) -> None:
    app = app_on(store, receiver)
    client = app.test_client()
    register(client, receiver.origin)
    headers = {"Content-Type": "application/x-ndjson"}
    client.delete(client.post("/v1/batches", data=b"{}\n", headers=headers).headers["Location"])
    send(app)
    assert [json.loads(body)["data"]["state"] for _, body in receiver.received] == ["cancelled"]


def test_what_is_not_taken_is_sent_again_later_and_later_and_then_listed_as_dead(
    store: Store, receiver: Receiver, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.webhook_sending.utc_now", clock)  # the pauses begin at the moment of the store
    app = app_on(store, receiver, webhook_attempts=3, webhook_retry_seconds=10)
    client = app.test_client()
    register(client, receiver.origin)
    end_a_batch(app)
    receiver.answers = [(500, {}), (302, {"Location": f"{receiver.origin}/elsewhere"}), (404, {})]
    for attempt, least in ((1, 5), (2, 25)):
        assert send(app)
        [waiting] = client.get("/v1/deliveries?state=pending").get_json()["deliveries"]
        assert waiting["attempts"] == attempt
        assert not send(app), "it waits"
        clock.now += timedelta(seconds=least)
        assert not send(app), "it waits longer"
        clock.now += timedelta(seconds=2 * least)
    assert send(app)
    [dead] = client.get("/v1/deliveries?state=dead").get_json()["deliveries"]
    assert (dead["attempts"], dead["last_status"], dead["next_at"]) == (3, 404, None)
    assert dead["last_error"] == "answered with 404"
    assert len(receiver.received) == 3, "no redirect is followed"
    assert len({headers["webhook-id"] for headers, _ in receiver.received}) == 1

    again = client.post(f"/v1/deliveries/{dead['id']}/retry")
    assert (again.status_code, again.get_json()["state"]) == (202, "pending")
    assert client.post(f"/v1/deliveries/{dead['id']}/retry").status_code == 409
    assert send(app)
    assert client.get(f"/v1/deliveries/{dead['id']}").get_json()["state"] == "delivered"


def test_the_pauses_grow_and_differ() -> None:
    for attempts in range(1, 8):
        pauses = {next_pause(attempts, 5) for _ in range(50)}
        assert len(pauses) > 1
        assert all(0.75 * 5 * 4 ** (attempts - 1) <= each <= 1.25 * 5 * 4 ** (attempts - 1) for each in pauses)


def test_a_receiver_that_is_not_there_or_does_not_answer_is_no_failure_of_ours(store: Store) -> None:
    receiver = Receiver()
    app = app_on(store, receiver)
    register(app.test_client(), receiver.origin)
    receiver.close()
    end_a_batch(app)
    assert send(app)
    [waiting] = app.test_client().get("/v1/deliveries").get_json()["deliveries"]
    assert (waiting["state"], waiting["last_status"]) == ("pending", None)
    assert waiting["last_error"].startswith("not delivered: ")


def test_a_receiver_that_wants_no_more_is_told_no_more(store: Store, receiver: Receiver) -> None:
    app = app_on(store, receiver)
    register(app.test_client(), receiver.origin)
    receiver.answers = [(410, {})]
    end_a_batch(app)
    send(app)
    end_a_batch(app)
    assert not send(app)
    assert app.test_client().get("/v1/webhooks").get_json() == {"webhooks": []}


def test_a_deleted_webhook_is_told_nothing_not_even_what_was_waiting(store: Store, receiver: Receiver) -> None:
    app = app_on(store, receiver)
    client = app.test_client()
    made = register(client, receiver.origin).get_json()
    shown = client.get(f"/v1/webhooks/{made['id']}").get_json()
    assert shown == {name: value for name, value in made.items() if name != "secret"}
    end_a_batch(app)
    assert client.delete(f"/v1/webhooks/{made['id']}").status_code == 204
    assert not send(app)
    assert client.get(f"/v1/webhooks/{made['id']}").status_code == 404
    assert client.delete(f"/v1/webhooks/{made['id']}").status_code == 404
    assert [entry.action for entry in store.audit().items][:1] == ["webhook.delete"]


@pytest.mark.parametrize(
    ("url", "code"),
    [
        ("http://127.0.0.1:1/", "target-not-allowed"),
        ("https://127.0.0.1/", "target-not-allowed"),
        ("http://localhost/", "target-not-allowed"),
        ("http://user@ORIGIN/", "target-not-allowed"),
        ("http://169.254.169.254/", "target-not-allowed"),
        ("file:///etc/passwd", "target-not-allowed"),
        ("http://127.0.0.1:99999/", "target-not-allowed"),
        ("nonsense", "target-not-allowed"),
        ("", "target-not-allowed"),
        (7, "not-a-text"),
    ],
)
def test_targets_that_are_not_listed_are_refused(store: Store, receiver: Receiver, url: Any, code: str) -> None:
    client = app_on(store, receiver).test_client()
    address = url.replace("ORIGIN", receiver.origin.removeprefix("http://")) if isinstance(url, str) else url
    response = register(client, address)
    assert response.status_code == 422
    assert [(error["pointer"], error["code"]) for error in response.get_json()["errors"]] == [("/url", code)]
    assert store.webhooks() == ()


def test_without_a_list_there_are_no_targets_at_all(own: FlaskClient, receiver: Receiver) -> None:
    assert register(own, receiver.origin).status_code == 422


@pytest.mark.parametrize("events", [[], "batch.ended", ["batch.end"], ["batch.ended", "batch.ended"], [None]])
def test_events_that_there_are_not_are_refused(store: Store, receiver: Receiver, events: Any) -> None:
    client = app_on(store, receiver).test_client()
    response = client.post("/v1/webhooks", json={"url": receiver.origin, "events": events, "secret": "x"})
    assert response.status_code == 422
    pointers = [error["pointer"].split("/")[1] for error in response.get_json()["errors"]]
    assert pointers == ["secret", "events"]


class TestTheListOfTargets:
    def test_a_listed_name_that_leads_into_this_machine_is_refused(self) -> None:
        allowed = AllowList(["http://localhost:9000"])
        with pytest.raises(NotAllowed, match="neither public nor"):
            allowed.addresses(allowed.target("http://localhost:9000/"))

    def test_unless_its_network_is_listed_too(self) -> None:
        allowed = AllowList(["http://localhost:9000", "127.0.0.0/8", "::1/128"])
        assert allowed.addresses(allowed.target("http://LOCALHOST:9000/hook"))

    def test_an_address_that_is_listed_itself_is_allowed(self) -> None:
        allowed = AllowList(["http://127.0.0.1:9000"])
        assert allowed.addresses(allowed.target("http://127.0.0.1:9000/")) == ["127.0.0.1"]

    def test_the_usual_port_needs_no_saying(self) -> None:
        target = AllowList(["https://192.0.2.1"]).target("https://192.0.2.1:443/a?b=c")
        assert (target.path, target.host_header) == ("/a?b=c", "192.0.2.1")

    @pytest.mark.parametrize(
        "address",
        [
            *("127.0.0.1", "127.1.2.3", "0.0.0.0", "10.0.0.1", "172.16.0.1", "192.168.1.1", "169.254.169.254"),
            *("100.64.0.1", "192.0.0.8", "192.0.2.1", "198.18.0.1", "224.0.0.1", "240.0.0.1", "255.255.255.255"),
            *("::", "::1", "fc00::1", "fd00:ec2::254", "fe80::1", "fec0::1", "ff02::1", "2001:db8::1"),
            *("::ffff:127.0.0.1", "::ffff:10.0.0.1", "::127.0.0.1", "::7f00:1", "64:ff9b::127.0.0.1"),
            *("64:ff9b::8.8.8.8", "64:ff9b:1::1", "2002:7f00:1::", "2002:a00:1::1", "2001:0:7f00:1::1"),
        ],
    )
    def test_no_address_within_or_that_a_gateway_takes_within_is_public(self, address: str) -> None:
        assert not is_public(ip_address(address))

    @pytest.mark.parametrize("address", ["8.8.8.8", "2606:4700::1111"])
    def test_addresses_of_the_internet_are_public(self, address: str) -> None:
        assert is_public(ip_address(address))

    @pytest.mark.parametrize("host", ["2130706433", "0x7f000001", "0177.0.0.1", "127.1", "[::ffff:127.0.0.1]"])
    def test_an_address_written_otherwise_is_what_it_leads_to(self, host: str) -> None:
        """Whoever lists 127.0.0.1 has not listed another spelling; one that is listed is looked at as a name is."""
        with pytest.raises(NotAllowed):
            AllowList(["http://127.0.0.1:9000"]).target(f"http://{host}:9000/")
        if not host.startswith("["):
            allowed = AllowList([f"http://{host}:9000"])
            with pytest.raises(NotAllowed, match="neither public nor"):
                allowed.addresses(allowed.target(f"http://{host}:9000/"))

    @pytest.mark.parametrize("entry", ["https://erp.example/hooks", "erp.example", "10.0.0.1/8", "ftp://erp.example"])
    def test_an_entry_that_is_neither_is_refused(self, entry: str) -> None:
        with pytest.raises(ValueError):
            AllowList([entry])


def test_a_target_that_is_no_longer_listed_is_not_sent_to(store: Store, receiver: Receiver) -> None:
    app = app_on(store, receiver)
    register(app.test_client(), receiver.origin)
    end_a_batch(app)
    send(create_app(Settings(), store))
    assert receiver.received == []
    [waiting] = app.test_client().get("/v1/deliveries").get_json()["deliveries"]
    assert "is not at one of the targets" in waiting["last_error"]


def review(app: Flask) -> None:
    work = Review()  # as another worker would begin: how far the review is stands in the store
    with app.app_context():
        while work.do_some():
            pass


def told_changes(app: Flask, receiver: Receiver) -> list[dict[str, Any]]:
    while send(app):
        pass
    messages = [json.loads(body) for _, body in receiver.received]
    return [message["data"] for message in messages if message["type"] == "panel.rating_changed"]


def test_panels_whose_rating_changes_with_the_catalogue_are_told_of_once(prepared: Store, receiver: Receiver) -> None:
    app = create_app(Settings(webhook_targets=(receiver.origin,)), prepared)
    register(app.test_client(), receiver.origin)
    review(app)
    assert told_changes(app, receiver) == [], "it was rated after those changes"

    prepared.apply_changes([Put(CONTACTOR)], "catalogue desk")
    review(app)
    [change] = told_changes(app, receiver)
    assert (change["order"], change["designation"], change["revision"]) == (ORDER, DESIGNATION, 2)
    assert change["before"]["rating"]["current_amperes"] == 18_000
    assert change["after"]["rating"]["current_amperes"] == 5_000
    assert change["catalogue_version"] == 3

    prepared.apply_changes([Put({**CONTACTOR, "description": "in another box"})], "catalogue desk")
    review(app)
    assert len(told_changes(app, receiver)) == 1, "its rating stays"

    prepared.apply_changes([Put(BETTER_CONTACTOR)], "catalogue desk")
    review(app)
    review(app)
    assert len(told_changes(app, receiver)) == 2


def test_each_of_many_panels_is_told_of_once(prepared: Store, receiver: Receiver) -> None:
    app = create_app(Settings(webhook_targets=(receiver.origin,)), prepared)
    client = app.test_client()
    register(client, receiver.origin)
    for number in range(45):
        document = deepcopy(ELEVATOR)
        document["panel"] = {"designation": f"ELV-{number}"}
        made = client.put(f"/v1/orders/MANY/panels/ELV-{number}", json=document, headers={"If-None-Match": "*"})
        assert made.status_code == 201
    prepared.apply_changes([Put(CONTACTOR), Put({**CONTACTOR, "part": "UNUSED-1"})], "catalogue desk")
    review(app)
    told = [change["designation"] for change in told_changes(app, receiver)]
    assert sorted(told) == sorted([DESIGNATION, *(f"ELV-{number}" for number in range(45))])
