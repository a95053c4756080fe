"""Names in addresses: an encoded slash belongs to the name, a plain one parts two steps."""

import json
import socket
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import create_environ
from werkzeug.test import run_wsgi_app

from .asking import NEW
from .asking import members
from .asking import problem
from .asking import put_panel
from .running import running


def test_an_encoded_slash_is_part_of_the_name_and_a_plain_one_is_not(own: FlaskClient, starter: dict[str, Any]) -> None:
    starter["panel"].update(order="4711/2", designation="A/B")
    put_panel(own, "4711/2", starter, **NEW)
    assert members(own.get("/v1/orders/4711%2F2/panels/A%2fB"))["designation"] == "A/B"
    problem(own.get("/v1/orders/4711/2/panels/A%2FB"), 404, "not-found")
    problem(own.get("/v1/orders/4711%2F2/panels/A/B"), 404, "not-found")
    problem(own.get("/v1/orders/4711%2F2%2Fpanels%2FA%2FB"), 404, "not-found")


def test_a_problem_names_the_address_as_it_was_sent(own: FlaskClient) -> None:
    told = problem(own.get("/v1/parts/1%2F2%20RYE%2B?version=1"), 404, "not-found")
    assert told["instance"] == "/v1/parts/1%2F2%20RYE%2B"


def test_an_encoded_slash_in_the_query_changes_nothing_of_the_path(client: FlaskClient) -> None:
    found = members(client.get("/v1/parts?text=%2F&limit=1"))
    assert found["catalogue_version"] == 1


@pytest.mark.parametrize("mounted", ["", "/desk", "/a/b"])
def test_it_holds_under_a_path_of_its_own_as_well(own_app: Flask, mounted: str) -> None:
    own_app.test_client().put("/v1/parts/1%2F2", json={"part": "1/2", "kind": "contactor"}, headers=NEW)
    handed_over = {"SCRIPT_NAME": mounted, "PATH_INFO": "/v1/parts/1/2", "RAW_URI": f"{mounted}/v1/parts/1%2F2"}
    body, status, _ = run_wsgi_app(own_app, {**create_environ("/"), **handed_over})
    assert (status, json.loads(b"".join(body))["part"]) == ("200 OK", "1/2")


def test_the_real_server_tells_them_apart_too(tmp_path: Path) -> None:
    with running(f"sqlite:///{tmp_path}/desk.db") as url:
        host, port = url.removeprefix("http://").split(":")

        def send(line: str, body: str = "") -> bytes:
            """A request as some clients and proxies write it; a library would write the address its own way."""
            head = f"{line} HTTP/1.1\r\nHost: localhost\r\nIf-None-Match: *\r\nConnection: close\r\n"
            head += f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
            with socket.create_connection((host, int(port)), timeout=30) as connection:
                connection.sendall((head + body).encode())
                answer = b""
                while piece := connection.recv(65_536):
                    answer += piece
            return answer

        assert send("PUT /v1/parts/1%2F2", '{"part": "1/2", "kind": "contactor"}').startswith(b"HTTP/1.1 201 ")
        assert send("GET /v1/parts/1%2F2?version=1").startswith(b"HTTP/1.1 304 ")
        assert send(f"GET http://localhost:{port}/v1/parts/1%2F2").startswith(b"HTTP/1.1 304 ")
        assert send("GET /v1/parts/1%2F3").startswith(b"HTTP/1.1 404 ")
        assert send("GET /v1/orders/a/b/panels").startswith(b"HTTP/1.1 404 ")
