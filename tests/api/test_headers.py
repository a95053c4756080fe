"""The headers that keep a browser careful, on every route by the map of the application, whatever it answers."""

import socket
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from api import create_app
from api.access import Role
from api.access import new_key
from api.settings import Settings
from api.store import Store
from tests.store.databases import fresh

from .prepared import DESIGNATION
from .prepared import ORDER
from .prepared import RECORDS
from .prepared import prepared_store
from .running import running
from .test_access_routes import TABLE

#: What each answer has; the page and the report, which have a style of their own, say more of it.
CAREFUL = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}
#: What stands in the store, for the routes that name it; anything else is absent.
PRESENT = {"order": ORDER, "designation": DESIGNATION, "record": RECORDS[0], "part": "RYE-3P-15", "slug": "forbidden"}


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with closing(prepared_store(tmp_path_factory.mktemp("headers"))) as opened:
        yield opened


@pytest.fixture(scope="module")
def key(store: Store) -> str:
    made = new_key(Role.ADMIN)
    store.add_key(made.prefix, made.hash, made.role.label, "a browser")
    return made.text


@pytest.fixture(scope="module")
def app(store: Store, key: str) -> Flask:
    return create_app(Settings(), store)


def check(response: TestResponse) -> None:
    headers = response.headers
    assert {name: headers.get_all(name) for name in CAREFUL} == {name: [value] for name, value in CAREFUL.items()}
    [policy] = headers.get_all("Content-Security-Policy")
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert headers.get_all("Access-Control-Allow-Origin") == []
    assert headers.get_all("Set-Cookie") == []
    assert "Cache-Control" in headers
    assert headers["Content-Type"] if response.data else True
    if response.status_code >= 400:
        assert headers["Content-Type"] == "application/problem+json"
        assert headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("route", sorted(TABLE))
def test_each_route_has_them_for_whoever_asks_whatever_for(app: Flask, key: str, route: str) -> None:
    """With a key and without, with a body that is none, by a method that there is not, and from another origin."""
    method, rule = route.split(" ")
    address = "/".join(_filled(step) for step in rule.split("/"))
    client = app.test_client()
    bearing = {"Authorization": f"Bearer {key}", "Origin": "https://elsewhere.example"}
    check(client.open(address, method=method, headers=bearing))
    check(client.open(address, method=method))
    check(client.open(address, method=method, headers=bearing, query_string="stranger=1"))
    check(client.open(address, method=method, headers=bearing, data=b"[", content_type="application/json"))
    check(client.open(address, method="PATCH", headers=bearing))
    check(client.open(address, method="OPTIONS", headers=bearing))
    check(client.open(f"{address}/nowhere", method=method, headers=bearing))


def _filled(step: str) -> str:
    return PRESENT.get(step[len("<name:") : -1], "absent") if step.startswith("<") else step


@pytest.mark.parametrize("name", ["report?format=html", "nameplate?format=svg", "report?format=pdf"])
def test_what_a_browser_shows_by_itself_has_them(app: Flask, key: str, name: str) -> None:
    address = f"/v1/orders/{ORDER}/panels/{DESIGNATION}/{name}"
    response = app.test_client().get(address, headers={"Authorization": f"Bearer {key}"})
    assert response.status_code == 200
    check(response)


REFUSED = {
    "no method": b"\r\n\r\n\r\n\r\n",
    "no HTTP": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n",
    "no version": b"GET /\r\n\r\n",
    "a header without a name": b"GET / HTTP/1.1\r\n: x\r\n\r\n",
    "a line that has no end": b"GET /" + b"a" * 9000 + b" HTTP/1.1\r\n\r\n",
    "a header that has no end": b"GET / HTTP/1.1\r\nX: " + b"a" * 9000 + b"\r\n\r\n",
    "two lengths": b"POST /v1/ratings HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n{}",
}


def test_what_never_reaches_the_application_has_them_too(tmp_path: Path) -> None:
    with fresh(None, tmp_path) as database, running(database, workers=1, threads=2) as url:
        for sent in REFUSED.values():
            head = _answered(url, sent)
            assert "content-type: application/problem+json" in head, sent[:40]
            for name, value in CAREFUL.items():
                assert f"{name}: {value}".lower() in head, sent[:40]
            assert "content-security-policy: default-src 'none'; frame-ancestors 'none'" in head
            assert "cache-control: no-store" in head


def _answered(url: str, sent: bytes) -> list[str]:
    parts = urlsplit(url)
    with socket.create_connection((parts.hostname, parts.port), 10) as connection:
        connection.sendall(sent)
        connection.shutdown(socket.SHUT_WR)
        with connection.makefile("rb") as answer:
            head = answer.read().partition(b"\r\n\r\n")[0]
    return head.decode("latin-1").lower().split("\r\n")
