"""Clients that send slowly, never, or do not take their answer: others are answered all the same."""

import socket
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import requests

from tests.api.running import running

from .asking import is_right
from .asking import panel

_HEAD = b"POST /v1/ratings HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
_BODY = _HEAD + b"Content-Length: 5000\r\n\r\n{"
_GET = b"GET /openapi.yaml HTTP/1.1\r\nHost: localhost\r\n\r\n"
#: How much of its time a slow client has [s]; otherwise half a minute, in which a test would wait.
PATIENCE = 1
_THREADS = 2 * 3


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of those who ask as they should: while others were slow, and after it."""

    idle: Counter[str]
    fewer: Counter[str]
    more: Counter[str]
    after: Counter[str]

    @property
    def asked(self) -> int:
        return sum(each.total() for each in (self.idle, self.fewer, self.more, self.after))

    @property
    def faults(self) -> list[str]:
        """Whoever asks is answered; where all threads wait for slow clients, at least told when to come back."""
        allowed = ({"200"}, {"200"}, {"200", "503"}, {"200"})
        all_of_them = zip((self.idle, self.fewer, self.more, self.after), allowed, strict=True)
        return [f"{dict(each)}" for each, right in all_of_them if set(each) - right]


def among_slow(database: str, count: int = 10, half_open: int = 200) -> Answered:
    """Ask so many times in each case: among connections that say nothing, among few slow ones, among too many."""
    settings = {"workers": 2, "threads": 3, "receive_seconds": PATIENCE, "send_seconds": PATIENCE, "wait_seconds": 5}
    with running(database, **settings) as url:
        with _slow(url, half_open, b""):
            idle = _asked(url, count)
        with _slow(url, _THREADS // 6, _HEAD, b"X"), _slow(url, _THREADS // 6, _BODY, b" "):
            fewer = _asked(url, count)
        with _slow(url, _THREADS, _HEAD, b"X"), _slow(url, _THREADS, _BODY, b" "), _slow(url, _THREADS, _GET * 20):
            more = _asked(url, count)
        time.sleep(PATIENCE)
        return Answered(idle, fewer, more, _asked(url, count))


def _asked(url: str, count: int) -> Counter[str]:
    told: Counter[str] = Counter()
    for _ in range(count):
        try:
            answer = requests.post(f"{url}/v1/ratings", json=panel("P-1"), timeout=30)
        except requests.RequestException as error:
            told[f"no answer: {type(error).__name__}"] += 1
            continue
        wrong = answer.status_code == 200 and not is_right(answer.json())
        untold = answer.status_code == 503 and "Retry-After" not in answer.headers
        told[f"{answer.status_code}{' wrong' * wrong}{' without Retry-After' * untold}"] += 1
    return told


@contextmanager
def _slow(url: str, count: int, first: bytes, drip: bytes = b"") -> Iterator[None]:
    """Hold connections: each begins so, and goes on with so little now and then; one that is closed is opened anew.

    None of them reads what it is answered.
    """
    stop = threading.Event()

    def hold() -> None:
        own = [_opened(url, first) for _ in range(count)]
        while not stop.wait(0.1):
            for number, connection in enumerate(own):
                try:
                    connection.send(drip)
                except BlockingIOError:
                    continue
                except OSError:
                    connection.close()
                    own[number] = _opened(url, first)
        for connection in own:
            connection.close()

    thread = threading.Thread(target=hold)
    thread.start()
    time.sleep(0.3)
    try:
        yield
    finally:
        stop.set()
        thread.join()


def _opened(url: str, first: bytes) -> socket.socket:
    host, port = url.removeprefix("http://").split(":")
    connection = socket.create_connection((host, int(port)), timeout=30)
    connection.sendall(first)
    connection.setblocking(False)
    return connection
