"""The limits and the counts on the real server: several processes, slow callers, workers that are killed."""

import json
import os
import signal
import socket
import threading
import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import ExitStack
from contextlib import closing
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import requests
from prometheus_client.parser import text_string_to_metric_families

from api.access import Role
from api.access import new_key
from api.opening import open_own_store
from api.server import CannotServe
from api.server import serve
from api.settings import Settings

from .conftest import PANELS
from .forked import Forked
from .forked import forked


class Server:
    """The service in processes of its own."""

    def __init__(self, process: Forked) -> None:
        self.process = process
        self.url = process.address().replace("0.0.0.0", "127.0.0.1")
        self.log: list[dict[str, Any]] = []

    def workers(self) -> list[int]:
        pid = self.process.pid
        return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]

    def connect(self) -> socket.socket:
        host, port = self.url.removeprefix("http://").split(":")
        return socket.create_connection((host, int(port)), timeout=30)

    def counted(self, name: str, **labels: str) -> float:
        text = requests.get(f"{self.url}/metrics", timeout=30).text
        samples = [s for family in text_string_to_metric_families(text) for s in family.samples]
        return sum(s.value for s in samples if s.name == name and labels.items() <= s.labels.items())

    def stop(self) -> None:
        self.process.terminate()
        _, logged = self.process.communicate()
        self.log = [json.loads(line) for line in logged.splitlines()]


@contextmanager
def started(folder: Path, **settings: Any) -> Iterator[Server]:
    temporary = folder / "temporary"
    temporary.mkdir()
    with forked({"data": folder / "data", **settings}, {"TMPDIR": str(temporary)}) as process:
        server = Server(process)
        try:
            yield server
        finally:
            if process.poll() is None:
                server.stop()


def eventually(holds: Callable[[], bool]) -> bool:
    ends = time.monotonic() + 30
    while time.monotonic() < ends:
        if holds():
            return True
        time.sleep(0.05)
    return False


def read(connection: socket.socket) -> tuple[int, dict[str, str], dict[str, Any]]:
    """Return the status, the headers and the members of an answer after which the server closes."""
    answer = b""
    while piece := connection.recv(65_536):
        answer += piece
    head, _, body = answer.partition(b"\r\n\r\n")
    first, *lines = head.decode().split("\r\n")
    headers = dict(line.split(": ", 1) for line in lines)
    return int(first.split()[1]), headers, json.loads(body)


HEAD = "POST /v1/ratings HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nConnection: close\r\n"


def test_metrics_are_of_all_workers_and_outlast_one_that_is_killed(tmp_path: Path) -> None:
    with started(tmp_path, workers=2) as server:

        def editions(times: int) -> None:
            for _ in range(times):
                requests.get(f"{server.url}/v1/editions", timeout=30)

        def counted() -> float:
            return server.counted("sccr_requests_total", route="/v1/editions", status="2xx")

        editions(30)
        assert eventually(lambda: counted() == 30)
        assert eventually(lambda: len(server.workers()) == 2)
        for expected in (40, 50, 60):
            victim = server.workers()[0]
            os.kill(victim, signal.SIGKILL)
            assert eventually(lambda: len(set(server.workers()) - {victim}) == 2)  # noqa: B023
            time.sleep(0.5)  # a connection that hangs on the dead one's port is reset
            editions(10)
            assert counted() == expected
        [folder] = (tmp_path / "temporary").glob("sccr-metrics-*")
        owners = {path.stem.rsplit("_", 1)[1] for path in folder.iterdir()}
        assert owners == {"main", "0", "1", "work-0"}, "files of the dead stay behind"
        assert server.counted("sccr_requests_under_way") == 1
    assert list((tmp_path / "temporary").iterdir()) == []


def test_the_limit_of_the_rate_is_that_of_all_workers_together(tmp_path: Path) -> None:
    with started(tmp_path, workers=3, requests_a_minute=10) as server:
        statuses = [requests.get(f"{server.url}/v1/editions", timeout=30).status_code for _ in range(40)]
    assert (statuses.count(200), statuses.count(429)) == (10, 30)


def test_a_head_that_comes_in_drips_is_408(tmp_path: Path) -> None:
    with started(tmp_path, receive_seconds=1) as server, server.connect() as connection:
        connection.sendall(b"GET /v1/editions HTTP/1.1\r\n")
        stop = threading.Event()

        def drip() -> None:
            while not stop.wait(0.1):
                try:
                    connection.sendall(b"X")
                except OSError:
                    return

        thread = threading.Thread(target=drip)
        thread.start()
        began = time.monotonic()
        status, _, members = read(connection)
        stop.set()
        thread.join()
        assert time.monotonic() - began < 25  # where the server has its usual patience, it would be 30
        assert (status, members["type"]) == (408, "/problems/request-timeout")
        server.stop()
    assert [line["message"] for line in server.log if line["level"] == "error"] == []


def test_a_body_that_does_not_come_is_408(tmp_path: Path) -> None:
    with started(tmp_path, receive_seconds=1) as server, server.connect() as connection:
        connection.sendall(f"{HEAD}Content-Length: 500\r\n\r\n".encode() + b"{")
        status, _, members = read(connection)
        assert (status, members["type"]) == (408, "/problems/request-timeout")
        assert server.counted("sccr_problems_total", type="request-timeout") == 1


def test_connections_that_say_nothing_keep_nobody_waiting(tmp_path: Path) -> None:
    with started(tmp_path, workers=1, threads=1) as server, ExitStack() as silent:
        for _ in range(40):  # of which each would hold the thread for seconds
            silent.enter_context(server.connect())
        assert requests.get(f"{server.url}/v1/editions", timeout=30).status_code == 200
        with server.connect() as late:
            time.sleep(0.2)
            late.sendall(b"GET /v1/editions HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
            assert read(late)[0] == 200


def test_what_waits_too_long_for_a_thread_is_503(tmp_path: Path) -> None:
    body = PANELS[0].read_bytes()
    with started(tmp_path, workers=1, threads=1, wait_seconds=0.5) as server:
        with server.connect() as first, server.connect() as second:
            first.sendall(f"{HEAD}Expect: 100-continue\r\nContent-Length: {len(body)}\r\n\r\n".encode())
            assert first.recv(65_536).startswith(b"HTTP/1.1 100 ")  # it has the only thread
            second.sendall(f"{HEAD}Content-Length: {len(body)}\r\n\r\n".encode() + body)
            time.sleep(1.5)
            first.sendall(body)
            status, headers, members = read(second)
            assert read(first)[0] == 200
        assert (status, members["type"], headers["Retry-After"]) == (503, "/problems/busy", "2")
        assert requests.post(f"{server.url}/v1/ratings", json=json.loads(body), timeout=30).status_code == 200


def test_a_worker_outlives_work_that_was_stopped(tmp_path: Path) -> None:
    document = json.loads(PANELS[0].read_bytes())
    with started(tmp_path, workers=1, threads=2, work_seconds=0) as server:
        workers = server.workers()
        large = {**document, "components": [{**document["components"][0], "id": f"-F{n}"} for n in range(6000)]}
        answers = [requests.post(f"{server.url}/v1/ratings", json=large, timeout=30) for _ in range(3)]
        assert {(answer.status_code, answer.json()["type"]) for answer in answers} == {(503, "/problems/out-of-time")}
        assert requests.get(f"{server.url}/v1/editions", timeout=30).status_code == 200
        assert server.workers() == workers
        server.stop()  # which reads each line of the log as JSON


def test_it_listens_elsewhere_once_there_is_a_key(tmp_path: Path) -> None:
    everywhere = Settings(host="0.0.0.0", port=0, data=tmp_path / "data")
    made = new_key(Role.READ)
    with closing(open_own_store(everywhere)) as store:
        with pytest.raises(CannotServe, match="Make a key first"):
            serve(everywhere, store)
        store.add_key(made.prefix, made.hash, made.role.label, "the ERP")
    with started(tmp_path, host="0.0.0.0") as server:
        assert requests.get(f"{server.url}/v1/editions", timeout=30).status_code == 401
        key = {"Authorization": f"Bearer {made.text}"}
        assert requests.get(f"{server.url}/v1/editions", headers=key, timeout=30).status_code == 200
        assert requests.post(f"{server.url}/v1/ratings", json={}, headers=key, timeout=30).status_code == 403
        server.stop()
    assert not [line for line in server.log if "open" in line["message"]]


def test_without_keys_it_says_once_that_it_runs_open(tmp_path: Path) -> None:
    with started(tmp_path, workers=2) as server:
        server.stop()
    assert [line["level"] for line in server.log if line["message"].startswith("runs open")] == ["warning"]
