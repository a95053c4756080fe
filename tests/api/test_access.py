"""Who is let in, and to what: with keys and without."""

import json
import logging
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
import yaml
from flask import Flask
from flask.testing import FlaskClient

from api import create_app
from api.access import Caller
from api.access import Role
from api.access import UndecidedRoute
from api.access import audit
from api.access import caller
from api.access import new_key
from api.access import public
from api.access import require
from api.access import require_guarded
from api.access.roles import role_of
from api.settings import Settings
from api.store import Key
from api.store import Store
from api.store import open_store

from .conftest import ROOT

CONTRACT: dict[str, Any] = yaml.safe_load((ROOT / "openapi.yaml").read_text("utf-8"))


@pytest.fixture
def store(database: str) -> Iterator[Store]:
    with closing(open_store(database)) as opened:
        yield opened


def make(store: Store, role: Role, name: str = "a caller") -> tuple[str, Key]:
    made = new_key(role)
    return made.text, store.add_key(made.prefix, made.hash, made.role.label, name)


def bearing(text: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {text}"}


@pytest.fixture
def app(store: Store) -> Flask:
    """An application with a resource for each role, which tells who called."""
    app = create_app(Settings(), store)
    for role in Role:

        def tell() -> dict[str, str | None]:
            return {"key": caller().key_id, "name": caller().name}

        app.add_url_rule(f"/for/{role.label}", role.label, require(role)(tell))
    return app


@pytest.fixture
def guarded(app: Flask) -> FlaskClient:
    return app.test_client()


class TestWithKeys:
    @pytest.mark.parametrize("has", Role)
    @pytest.mark.parametrize("needed", Role)
    def test_a_role_may_do_what_those_below_it_may(
        self, guarded: FlaskClient, store: Store, has: Role, needed: Role
    ) -> None:
        text, key = make(store, has, "the ERP")
        response = guarded.get(f"/for/{needed.label}", headers=bearing(text))
        if has >= needed:
            assert response.status_code == 200
            assert json.loads(response.data) == {"key": key.id, "name": "the ERP"}
        else:
            assert response.status_code == 403
            members = json.loads(response.data)
            assert members["type"] == "/problems/forbidden"
            assert members["detail"] == f"This asks for the role {needed.label}; the key has the role {has.label}."
            assert f'scope="{needed.label}"' in response.headers["WWW-Authenticate"]

    def test_without_a_key_it_is_401(self, guarded: FlaskClient, store: Store) -> None:
        make(store, Role.READ)
        response = guarded.get("/v1/editions")
        assert response.status_code == 401
        assert response.headers["WWW-Authenticate"] == 'Bearer realm="sccr"'
        assert json.loads(response.data)["type"] == "/problems/unauthorized"

    @pytest.mark.parametrize(
        "sent",
        [
            *("", "Bearer", "Bearer ", "Basic YWRtaW46YWRtaW4=", "Bearer sccr_a_" + "A" * 32, "Bearer sccr_a_ü"),
            *("Bearer %s%s", "Bearer x%s", "%s", "Bearer %s x", "Basic %s"),
        ],
    )
    def test_what_is_no_key_is_401(self, guarded: FlaskClient, store: Store, sent: str) -> None:
        text, _ = make(store, Role.ADMIN)
        response = guarded.get("/for/read", headers={"Authorization": sent.replace("%s", text)})
        assert response.status_code == 401
        assert 'error="invalid_token"' in response.headers["WWW-Authenticate"]
        assert text not in response.text

    @pytest.mark.parametrize("scheme", ["Bearer ", "bearer ", "BEARER  "])
    def test_the_scheme_is_of_any_case(self, guarded: FlaskClient, store: Store, scheme: str) -> None:
        text, _ = make(store, Role.READ)
        assert guarded.get("/for/read", headers={"Authorization": scheme + text}).status_code == 200

    def test_a_key_of_another_letter_is_another_key(self, guarded: FlaskClient, store: Store) -> None:
        text, _ = make(store, Role.READ)
        assert guarded.get("/for/admin", headers=bearing(text.replace("_r_", "_a_"))).status_code == 401

    def test_a_revoked_key_is_401_at_once(self, guarded: FlaskClient, store: Store) -> None:
        text, key = make(store, Role.ADMIN)
        make(store, Role.ADMIN)
        assert guarded.get("/for/read", headers=bearing(text)).status_code == 200
        store.revoke_key(key.id)
        assert guarded.get("/for/read", headers=bearing(text)).status_code == 401

    def test_revoking_the_last_key_does_not_open_the_service(self, guarded: FlaskClient, store: Store) -> None:
        _, key = make(store, Role.ADMIN)
        store.revoke_key(key.id)
        assert guarded.get("/for/read").status_code == 401

    def test_the_first_key_closes_a_service_that_ran_open(self, guarded: FlaskClient, store: Store) -> None:
        assert guarded.get("/for/admin").status_code == 200
        make(store, Role.READ)
        assert guarded.get("/for/admin").status_code == 401

    def test_use_is_noted(self, guarded: FlaskClient, store: Store) -> None:
        text, key = make(store, Role.READ)
        guarded.get("/for/read", headers=bearing(text))
        used = store.key(key.id)
        assert used is not None
        assert used.last_used_at is not None

    @pytest.mark.parametrize("path", ["/health/live", "/health/ready", "/openapi.yaml", "/problems/unauthorized"])
    @pytest.mark.parametrize("headers", [{}, bearing("nonsense")], ids=["without a key", "with a wrong one"])
    def test_what_is_public_asks_for_no_key(
        self, guarded: FlaskClient, store: Store, path: str, headers: dict[str, str]
    ) -> None:
        make(store, Role.READ)
        assert guarded.get(path, headers=headers).status_code == 200

    @pytest.mark.parametrize("method", ["HEAD", "OPTIONS"])
    def test_other_methods_of_a_resource_ask_for_the_same(
        self, guarded: FlaskClient, store: Store, method: str
    ) -> None:
        text, _ = make(store, Role.READ)
        assert guarded.open("/for/read", method=method).status_code == 401
        assert guarded.open("/for/read", method=method, headers=bearing(text)).status_code == 200
        assert guarded.open("/for/rate", method=method, headers=bearing(text)).status_code == 403

    def test_a_body_is_not_read_before_the_key(self, guarded: FlaskClient, store: Store) -> None:
        make(store, Role.READ)
        response = guarded.post("/v1/ratings", data=b"{" * 100, content_type="text/plain")
        assert response.status_code == 401

    def test_the_log_names_the_key_and_never_holds_it(
        self, guarded: FlaskClient, store: Store, caplog: pytest.LogCaptureFixture
    ) -> None:
        caplog.set_level(logging.DEBUG)
        text, _ = make(store, Role.READ)
        guarded.get("/for/read", headers=bearing(text))
        guarded.get("/for/admin", headers=bearing(text))
        assert caplog.records
        assert all(text not in str(record.__dict__) for record in caplog.records)

    def test_any_host_is_answered(self, guarded: FlaskClient, store: Store) -> None:
        text, _ = make(store, Role.READ)
        assert guarded.get("/for/read", headers={**bearing(text), "Host": "ratings.example"}).status_code == 200


class TestOpen:
    def test_it_lets_in_everybody_and_says_so(self, guarded: FlaskClient) -> None:
        assert guarded.get("/v1/editions").status_code == 200
        assert json.loads(guarded.get("/health/ready").data)["access"] == "open"

    def test_with_keys_it_says_that(self, guarded: FlaskClient, store: Store) -> None:
        make(store, Role.READ)
        assert json.loads(guarded.get("/health/ready").data)["access"] == "keys"

    def test_a_key_that_is_sent_is_not_ignored(self, guarded: FlaskClient) -> None:
        """Whoever sends one believes that the service knows it."""
        assert guarded.get("/v1/editions", headers=bearing(new_key(Role.READ).text)).status_code == 401

    @pytest.mark.parametrize("host", ["localhost", "localhost:8008", "127.0.0.1:1", "127.9.9.9", "[::1]", "[::1]:8008"])
    def test_it_answers_to_the_names_of_its_machine(self, guarded: FlaskClient, host: str) -> None:
        assert guarded.get("/v1/editions", headers={"Host": host}).status_code == 200

    @pytest.mark.parametrize("host", ["page.example", "localhost.page.example", "127.0.0.1.page.example", "192.0.2.1"])
    def test_no_page_of_the_web_reaches_it_under_a_name_of_its_own(self, guarded: FlaskClient, host: str) -> None:
        response = guarded.get("/v1/editions", headers={"Host": f"{host}:8008"})
        assert response.status_code == 421
        assert json.loads(response.data)["type"] == "/problems/misdirected"


class TestDecisions:
    def test_a_route_that_was_forgotten_keeps_the_application_from_starting(self) -> None:
        app = create_app()
        app.add_url_rule("/forgotten", "forgotten", lambda: "")
        with pytest.raises(UndecidedRoute, match="forgotten"):
            require_guarded(app)

    def test_a_route_that_is_added_later_and_forgotten_is_for_the_highest_role(self, app: Flask, store: Store) -> None:
        app.add_url_rule("/forgotten", "forgotten", lambda: "")
        for role in Role:
            text, _ = make(store, role)
            status = app.test_client().get("/forgotten", headers=bearing(text)).status_code
            assert status == (200 if role is Role.ADMIN else 403)

    def test_public_is_public(self, app: Flask, store: Store) -> None:
        make(store, Role.READ)
        app.add_url_rule("/square", "square", public(lambda: ""))
        assert app.test_client().get("/square").status_code == 200

    def test_the_signature_of_a_caller_tells_keys_apart_that_are_called_alike(self) -> None:
        assert Caller("k1", "ERP", Role.RATE).signature != Caller("k2", "ERP", Role.RATE).signature
        assert Caller(None, "open", Role.ADMIN).signature == "open"

    def test_the_contract_names_the_role_of_each_operation(self) -> None:
        app = create_app()
        adapter = app.url_map.bind("localhost")
        for path, methods in CONTRACT["paths"].items():
            for method, operation in methods.items():
                if method == "parameters":
                    continue
                endpoint, _ = adapter.match(path.replace("{", "").replace("}", ""), method.upper())
                role = role_of(app, endpoint)
                told = [] if role is None else [{}, {"key": [role.label]}]
                assert operation["security"] == told, f"{method} {path}"

    def test_the_roles_are_named_in_their_order(self) -> None:
        assert [role.label for role in sorted(Role)] == ["read", "rate", "catalogue", "admin"]
        assert [Role.named(role.label) for role in Role] == list(Role)
        with pytest.raises(ValueError, match="'root'"):
            Role.named("root")


class TestAudit:
    @pytest.fixture
    def audited(self, app: Flask) -> FlaskClient:
        @app.post("/parts/<part>")
        @require(Role.CATALOGUE)
        def put(part: str) -> str:
            audit("part.put", part, was=None, versions=[1, 2])
            return ""

        return app.test_client()

    def test_an_entry_says_who_did_what_in_which_request(self, audited: FlaskClient, store: Store) -> None:
        text, key = make(store, Role.CATALOGUE)
        audited.post("/parts/GB-1", headers={**bearing(text), "X-Request-Id": "order-4711"})
        [entry] = store.audit().items
        assert (entry.key_id, entry.action, entry.object) == (key.id, "part.put", "GB-1")
        assert (entry.detail, entry.request_id) == ({"was": None, "versions": [1, 2]}, "order-4711")

    def test_what_was_refused_is_no_entry(self, audited: FlaskClient, store: Store) -> None:
        text, _ = make(store, Role.READ)
        assert audited.post("/parts/GB-1", headers=bearing(text)).status_code == 403
        assert store.audit().items == ()

    def test_in_the_open_there_is_no_key_to_name(self, audited: FlaskClient, store: Store) -> None:
        audited.post("/parts/GB-1")
        [entry] = store.audit().items
        assert entry.key_id is None


class TestTheLimitOfTheRate:
    def client(self, store: Store, a_minute: int = 3) -> FlaskClient:
        return create_app(Settings(requests_a_minute=a_minute), store).test_client()

    def test_it_is_off_unless_set(self, guarded: FlaskClient) -> None:
        response = guarded.get("/v1/editions")
        assert "RateLimit" not in response.headers
        assert "RateLimit-Policy" not in response.headers

    def test_what_is_above_it_is_429_and_says_when_to_come_back(self, store: Store) -> None:
        client = self.client(store)
        answers = [client.get("/v1/editions") for _ in range(4)]
        assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
        assert [answer.headers["RateLimit"].split(";")[1] for answer in answers] == ["r=2", "r=1", "r=0", "r=0"]
        assert {answer.headers["RateLimit-Policy"] for answer in answers} == {'"default";q=3;w=60'}
        assert json.loads(answers[3].data)["type"] == "/problems/too-many-requests"
        assert 19 <= int(answers[3].headers["Retry-After"]) <= 20

    def test_each_key_has_its_own(self, store: Store) -> None:
        client = self.client(store)
        keys = [make(store, Role.READ)[0] for _ in range(2)]
        for text in keys:
            statuses = [client.get("/v1/editions", headers=bearing(text)).status_code for _ in range(4)]
            assert statuses == [200, 200, 200, 429]

    def test_guesses_at_keys_share_that_of_the_address(self, store: Store) -> None:
        make(store, Role.READ)
        client = self.client(store)
        guesses = [new_key(Role.ADMIN).text for _ in range(4)]
        statuses = [client.get("/v1/editions", headers=bearing(text)).status_code for text in guesses]
        assert statuses == [401, 401, 401, 429]

    @pytest.mark.parametrize(
        ("one", "other", "same"),
        [
            ("192.0.2.1", "192.0.2.2", False),
            ("2001:db8::1", "2001:db8::ffff:1", True),
            ("2001:db8::1", "2001:db8:0:1::1", False),
        ],
    )
    def test_addresses_are_told_apart_as_networks_give_them_out(
        self, desk: Store, one: str, other: str, same: bool
    ) -> None:
        client = self.client(desk, a_minute=1)
        first, second = (
            client.get("/v1/editions", environ_overrides={"REMOTE_ADDR": address}).status_code
            for address in (one, other)
        )
        assert (first, second) == (200, 429 if same else 200)

    def test_health_is_told_whatever_the_rate(self, desk: Store) -> None:
        client = self.client(desk, a_minute=1)
        assert {client.get("/health/live").status_code for _ in range(5)} == {200}
