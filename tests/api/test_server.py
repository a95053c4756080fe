"""The real server: it listens, rates, refuses what it must, and stops when it is told to."""

import json
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any

import pytest
import requests

from api.server import CannotServe
from api.server import serve
from api.settings import Settings
from sccr import Catalogue
from sccr import rate

from .conftest import CATALOGUE
from .conftest import PANELS
from .conftest import ROOT
from .forked import forked

JSON = {"Content-Type": "application/json"}


@contextmanager
def commanded() -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Start the service by its command, on a free port; yield it with its address."""
    command = [sys.executable, "-m", "api", "serve", "--port", "0", "--catalogue", str(CATALOGUE)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            yield process, process.stdout.readline().strip()
        finally:
            process.terminate()
            process.communicate(timeout=60)


@pytest.fixture(scope="module")
def url() -> Iterator[str]:
    with forked({"catalogue": CATALOGUE}) as service:
        yield service.address()


def raw(url: str, request: bytes, *, end: bool = False) -> bytes:
    """Return what the server answers to bytes that no client library would send."""
    host, port = url.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), timeout=20) as connection:
        connection.sendall(request)
        if end:
            connection.shutdown(socket.SHUT_WR)
        answer = b""
        while piece := connection.recv(65_536):
            answer += piece
    return answer


def members(answer: bytes) -> dict[str, Any]:
    head, _, body = answer.partition(b"\r\n\r\n")
    assert b"Content-Type: application/problem+json" in head
    problem = json.loads(body)
    assert isinstance(problem, dict)
    return problem


def test_it_prints_where_it_is(url: str) -> None:
    assert re.fullmatch(r"http://127\.0\.0\.1:[1-9][0-9]+", url)


def test_it_rates_as_the_library_does_from_many_callers_at_once(url: str, catalogue: Catalogue) -> None:
    def post(path: Any) -> Any:
        response = requests.post(f"{url}/v1/ratings", data=path.read_bytes(), headers=JSON, timeout=60)
        assert response.status_code == 200, response.text
        return response.json()

    with ThreadPoolExecutor(8) as callers:
        answers = list(callers.map(post, PANELS * 3))
    expected = [json.loads(json.dumps(rate(path.read_bytes(), catalogue).as_dict())) for path in PANELS]
    assert answers == expected * 3


def test_a_body_that_is_too_large_is_413_and_not_a_broken_connection(url: str) -> None:
    def pieces() -> Iterator[bytes]:
        for _ in range(100):
            yield b" " * 100_000

    for body in (b" " * 10_000_000, pieces()):
        response = requests.post(f"{url}/v1/ratings", data=body, headers=JSON, timeout=60)
        assert response.status_code == 413
        assert response.json()["type"] == "/problems/body-too-large"


HEAD = b"POST /v1/ratings HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nConnection: close\r\n"


@pytest.mark.parametrize(
    ("request_bytes", "status"),
    [
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\nZZ\r\n", 400),
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n", 400),
        (HEAD + b"Content-Length: 500\r\n\r\n{}", 400),
        (HEAD + b"Content-Length: -2\r\n\r\n{}", 400),
        (HEAD + b"Transfer-Encoding: brew\r\n\r\n{}", 501),
        (b"GET /" + b"a" * 9_000 + b" HTTP/1.1\r\nHost: localhost\r\n\r\n", 414),
        (b"GET /health/live HTTP/1.1\r\nHost: localhost\r\nX-Long: " + b"a" * 20_000 + b"\r\n\r\n", 431),
        (b"nonsense\r\n\r\n", 400),
    ],
    ids=[
        *("bad chunk", "cut chunk", "cut body", "negative length"),
        *("unknown coding", "long path", "long header", "noise"),
    ],
)
def test_what_breaks_the_rules_of_http_is_a_problem_too(url: str, request_bytes: bytes, status: int) -> None:
    answer = raw(url, request_bytes, end=True)
    assert answer.startswith(f"HTTP/1.1 {status} ".encode())
    assert members(answer)["status"] == status
    assert b"Traceback" not in answer


def test_sigterm_lets_it_finish_and_its_log_is_lines_of_json() -> None:
    with commanded() as (process, address):
        with requests.Session() as session:
            assert session.get(f"{address}/health/ready", headers={"X-Request-Id": "last-1"}, timeout=60).ok
        process.send_signal(signal.SIGTERM)
        printed, logged = process.communicate(timeout=60)
    assert process.returncode == 0
    assert printed == "", "more than the address was printed"
    lines = [json.loads(line) for line in logged.splitlines()]
    assert [line["route"] for line in lines if line.get("request_id") == "last-1"] == ["/health/ready"]


def test_sigterm_lets_a_request_under_way_finish() -> None:
    body = PANELS[0].read_bytes()
    with forked({"catalogue": CATALOGUE}) as process:
        host, port = process.address().removeprefix("http://").split(":")
        with socket.create_connection((host, int(port)), timeout=30) as connection:
            connection.sendall(HEAD + f"Expect: 100-continue\r\nContent-Length: {len(body)}\r\n\r\n".encode())
            assert connection.recv(65_536).startswith(b"HTTP/1.1 100 ")  # a worker has it, and waits for the body
            process.send_signal(signal.SIGTERM)
            with pytest.raises(subprocess.TimeoutExpired):
                process.wait(timeout=1)
            connection.sendall(body)
            answer = b""
            while piece := connection.recv(65_536):
                answer += piece
        assert answer.startswith(b"HTTP/1.1 200 ")
        assert process.wait(timeout=60) == 0


def test_it_does_not_share_a_port_that_is_taken(url: str) -> None:
    """With reuse_port a second service would start without a word and take half of the requests."""
    with pytest.raises(CannotServe, match="Address already in use"):
        serve(Settings(port=int(url.rsplit(":", 1)[1])))


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.1", "example.org", "", "127.0.0.1.example.org"])
def test_it_refuses_to_listen_to_other_machines(host: str) -> None:
    with pytest.raises(CannotServe, match="refuses to listen elsewhere"):
        serve(Settings(host=host, port=0))


def test_the_refusal_leaves_no_process_behind() -> None:
    command = [sys.executable, "-m", "api", "serve", "--host", "0.0.0.0", "--port", "0"]
    ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert ended.returncode == 2
    assert "keys" in ended.stderr
    assert ended.stdout == ""
