"""What is sent again under the same Idempotency-Key is done once, and answered alike."""

import json
import threading
from collections.abc import Callable
from datetime import UTC
from datetime import datetime
from datetime import timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from api import create_app
from api.access import Role
from api.access import new_key
from api.settings import Settings
from api.store import Store
from api.store import open_store

from .asking import NEW
from .asking import WHATEVER
from .asking import codes
from .asking import members
from .asking import problem
from .asking import put_panel
from .prepared import CONTACTOR

KEY = "8e03978e-40d5-43dd-bc93-6894a57f9324"


def keep(client: FlaskClient, document: Any, key: str = KEY, **headers: str) -> TestResponse:
    return client.post("/v1/ratings?record=true", json=document, headers={"Idempotency-Key": key, **headers})


def records(client: FlaskClient) -> int:
    return len(members(client.get("/v1/records"))["records"])


class TestRepetition:
    def test_a_request_that_is_sent_again_makes_one_record(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        first, second = keep(own, starter), keep(own, starter)
        assert (first.status_code, second.status_code) == (201, 201)
        assert second.data == first.data
        for name in ("Content-Type", "ETag", "Location"):
            assert second.headers[name] == first.headers[name]
        assert "Idempotent-Replayed" not in first.headers
        assert second.headers["Idempotent-Replayed"] == "true"
        assert second.headers["X-Request-Id"] != first.headers["X-Request-Id"]
        assert records(own) == 1

    def test_quotes_around_a_key_make_no_difference(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        keep(own, starter, KEY)
        assert keep(own, starter, f'"{KEY}"').headers["Idempotent-Replayed"] == "true"
        keep(own, starter, r'"a\"b\\c"')
        assert keep(own, starter, r'a"b\c').headers["Idempotent-Replayed"] == "true"
        assert records(own) == 2

    def test_another_body_or_another_question_is_422(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        keep(own, starter)
        problem(keep(own, {**starter, "target": "5 kA"}), 422, "idempotency-key-reused")
        bare = own.post("/v1/ratings", json=starter, headers={"Idempotency-Key": KEY})
        problem(bare, 422, "idempotency-key-reused")
        assert records(own) == 1

    def test_the_same_key_elsewhere_is_another(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        keep(own, starter)
        stored = put_panel(own, "TO-24017", starter, **NEW, **{"Idempotency-Key": KEY})
        assert stored.status_code == 201
        assert "Idempotent-Replayed" not in stored.headers

    def test_the_keys_of_one_caller_are_not_those_of_another(self, desk: Store, starter: dict[str, Any]) -> None:
        client = create_app(Settings(), desk).test_client()
        made = [new_key(Role.RATE) for _ in range(2)]
        for number, key in enumerate(made):
            desk.add_key(key.prefix, key.hash, key.role.label, f"caller {number}")
        answers = [keep(client, starter, Authorization=f"Bearer {key.text}") for key in (*made, *made)]
        assert [answer.headers.get("Idempotent-Replayed") for answer in answers] == [None, None, "true", "true"]
        assert answers[0].json["asked_by"].startswith("caller 0 (")  # type: ignore[index]

    def test_a_repeated_change_is_answered_though_its_condition_holds_no_longer(
        self, own: FlaskClient, starter: dict[str, Any]
    ) -> None:
        """A caller that got no answer does not know whether his revision was stored, and sends it again."""
        headers = {**NEW, "Idempotency-Key": KEY}
        first, again = (put_panel(own, "TO-24017", starter, **headers) for _ in range(2))
        assert (first.status_code, again.status_code) == (201, 201)
        assert again.headers["ETag"] == first.headers["ETag"]
        problem(put_panel(own, "TO-24017", starter, **NEW), 412, "precondition-failed")
        assert len(members(own.get("/v1/orders/TO-24017/panels/AUG-01/revisions"))["revisions"]) == 1

    def test_every_change_takes_a_key(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        key = {"Idempotency-Key": KEY}
        put_panel(own, "TO-24017", starter, **NEW)
        table = b"part,kind\nNEW-1,contactor\n"
        changes: list[Callable[[], TestResponse]] = [
            lambda: own.put("/v1/parts/MILLET-C9", json=CONTACTOR, headers={**NEW, **key}),
            lambda: own.delete("/v1/parts/MILLET-C9", headers={**WHATEVER, **key}),
            lambda: own.post("/v1/catalogue/import", data=table, content_type="text/csv", headers=key),
            lambda: own.put("/v1/orders/TO-24017/panels/AUG-01/revisions/1/shipped", headers=key),
        ]
        for change in changes:
            first, again = change(), change()
            assert 200 <= first.status_code < 300
            assert (again.status_code, again.data) == (first.status_code, first.data)
            assert again.headers["Idempotent-Replayed"] == "true"
            assert again.headers.get("Content-Type") == first.headers.get("Content-Type")
            assert again.headers.get("Catalogue-Version") == first.headers.get("Catalogue-Version")
        assert members(own.get("/v1/catalogue"))["number"] == 4


class TestWhatIsNotKept:
    def test_after_a_refusal_the_key_may_be_used_again(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        problem(keep(own, {**starter, "target": 5}), 422, "invalid-document")
        assert keep(own, starter).status_code == 201

    def test_after_a_failed_condition_too(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        headers = {"Idempotency-Key": KEY}
        problem(put_panel(own, "TO-24017", starter, **WHATEVER, **headers), 412, "precondition-failed")
        assert put_panel(own, "TO-24017", starter, **NEW, **headers).status_code == 201

    def test_a_rating_that_is_not_kept_may_have_a_key_and_needs_none(
        self, own: FlaskClient, starter: dict[str, Any]
    ) -> None:
        first, again = (own.post("/v1/ratings", json=starter, headers={"Idempotency-Key": KEY}) for _ in range(2))
        assert again.data == first.data
        assert again.headers["Idempotent-Replayed"] == "true"
        assert records(own) == 0

    def test_after_a_day_it_is_forgotten(self, tmp_path: Path, starter: dict[str, Any]) -> None:
        moment = datetime(2026, 1, 31, tzinfo=UTC)
        store = open_store(f"sqlite:///{tmp_path}/desk.db", clock=lambda: moment)
        store.migrate()
        client = create_app(Settings(), store).test_client()
        keep(client, starter)
        moment += timedelta(hours=23, minutes=59)
        assert keep(client, starter).headers["Idempotent-Replayed"] == "true"
        moment += timedelta(minutes=2)
        assert "Idempotent-Replayed" not in keep(client, starter).headers
        assert records(client) == 2


class TestAtOnce:
    def test_while_the_first_is_under_way_the_second_is_409(
        self, own: FlaskClient, desk: Store, starter: dict[str, Any]
    ) -> None:
        """Another process has claimed the key for the same request, and has not answered yet."""
        body = json.dumps(starter).encode()
        claim = desk.claim("open POST /v1/ratings", KEY, sha256(b"record=true\napplication/json\n" + body).hexdigest())
        assert claim.state == "new"

        def send() -> TestResponse:
            headers = {"Idempotency-Key": KEY}
            address = "/v1/ratings?record=true"
            return own.post(address, data=body, content_type="application/json", headers=headers)

        response = send()
        problem(response, 409, "idempotency-key-in-use")
        assert response.headers["Retry-After"] == "1"
        desk.forget(claim)
        assert send().status_code == 201
        assert send().headers["Idempotent-Replayed"] == "true"

    def test_a_claim_of_a_process_that_died_is_taken_over(self, tmp_path: Path, starter: dict[str, Any]) -> None:
        moment = datetime(2026, 1, 31, tzinfo=UTC)
        store = open_store(f"sqlite:///{tmp_path}/desk.db", clock=lambda: moment)
        store.migrate()
        client = create_app(Settings(), store).test_client()
        store.claim("open POST /v1/ratings", KEY, "whatever it was")
        problem(keep(client, starter), 422, "idempotency-key-reused")
        moment += timedelta(seconds=61)
        assert keep(client, starter).status_code == 201

    def test_many_at_once_make_one_record(self, own: FlaskClient, starter: dict[str, Any]) -> None:
        barrier = threading.Barrier(6)
        answers: list[TestResponse] = []

        def send() -> None:
            client = own.application.test_client()
            barrier.wait()
            answers.append(keep(client, starter))

        threads = [threading.Thread(target=send) for _ in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(60)
        done = [answer for answer in answers if answer.status_code == 201]
        assert {answer.status_code for answer in answers} <= {201, 409}
        assert len({answer.data for answer in done}) == 1
        for answer in answers:
            if answer.status_code == 409:
                problem(answer, 409, "idempotency-key-in-use")
                assert answer.headers["Retry-After"] == "1"
        assert records(own) == 1


@pytest.mark.parametrize("key", ["", '"', '""', '"a', 'a"b c', "a b", "ä", "x" * 256, '"a\\b"', "a\tb"])
def test_what_is_no_key_is_400(own: FlaskClient, starter: dict[str, Any], key: str) -> None:
    told = problem(keep(own, starter, key), 400, "invalid-parameter")
    assert codes(told) == [("/headers/Idempotency-Key", "not-a-key")]
    assert records(own) == 0
