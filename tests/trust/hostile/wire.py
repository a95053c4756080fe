"""Requests that break the rules of HTTP: two lengths, headers without end, bodies that drip."""

import json
import socket
import time
from collections.abc import Iterator
from urllib.parse import urlsplit

import requests

from tests.trust.hostile.attacked import Attacked
from tests.trust.hostile.attacked import Cost

_START = "POST /v1/ratings HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
_SMUGGLED = "GET /health/live HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Smuggled: 1\r\n\r\n"
_CHUNK = "2\r\n{}\r\n0\r\n\r\n"

#: What is sent. A connection that is closed without a word is as right as a refusal.
REQUESTS: dict[str, str] = {
    "a length and chunks": f"{_START}Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n{_CHUNK}{_SMUGGLED}",
    "chunks and a length": f"{_START}Transfer-Encoding: chunked\r\nContent-Length: 4\r\n\r\n{_CHUNK}{_SMUGGLED}",
    "two lengths": f"{_START}Content-Length: 2\r\nContent-Length: 80\r\n\r\n{{}}{_SMUGGLED}",
    "two lengths in one": f"{_START}Content-Length: 2, 80\r\n\r\n{{}}{_SMUGGLED}",
    "a negative length": f"{_START}Content-Length: -1\r\n\r\n{_SMUGGLED}",
    "a length with a sign": f"{_START}Content-Length: +2\r\n\r\n{{}}{_SMUGGLED}",
    "a length in hexadecimal": f"{_START}Content-Length: 0x2\r\n\r\n{{}}{_SMUGGLED}",
    "a length of forty digits": f"{_START}Content-Length: {'9' * 40}\r\n\r\n{{}}",
    "a coding that is none": f"{_START}Transfer-Encoding: xchunked\r\n\r\n{_CHUNK}{_SMUGGLED}",
    "chunked twice": f"{_START}Transfer-Encoding: chunked, chunked\r\n\r\n{_CHUNK}{_SMUGGLED}",
    "a coding behind a space": f"{_START}Transfer-Encoding : chunked\r\n\r\n{_CHUNK}{_SMUGGLED}",
    "a coding on a folded line": f"{_START}Transfer-Encoding:\r\n chunked\r\n\r\n{_CHUNK}{_SMUGGLED}",
    "a chunk of a negative size": f"{_START}Transfer-Encoding: chunked\r\n\r\n-2\r\n{{}}\r\n0\r\n\r\n{_SMUGGLED}",
    "a chunk that is too long": f"{_START}Transfer-Encoding: chunked\r\n\r\n1\r\n{{}}\r\n0\r\n\r\n{_SMUGGLED}",
    "a chunk of a huge size": f"{_START}Transfer-Encoding: chunked\r\n\r\n{'f' * 40}\r\n{{}}",
    "a header of 64 KiB": f"GET / HTTP/1.1\r\nX: {'a' * 65_536}\r\n\r\n",
    "ten thousand headers": "GET / HTTP/1.1\r\n" + "X: y\r\n" * 10_000 + "\r\n",
    "a line of 64 KiB": f"GET /{'a' * 65_536} HTTP/1.1\r\n\r\n",
    "a method of 64 KiB": f"{'A' * 65_536} / HTTP/1.1\r\n\r\n",
    "NUL in a header": "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: a\0b\r\n\r\n",
    "a name of a header with a space": "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX y: z\r\n\r\n",
    "no version": "GET /health/live\r\n\r\n",
    "a version of the future": "GET / HTTP/9.9\r\n\r\n",
    "TLS": "\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
    "HTTP/2": "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
}
REFUSED = frozenset({400, 408, 413, 414, 415, 431, 501, 505})
#: How long the service of these tests waits for a request [s].
RECEIVE_SECONDS = 2.0


def tried(service: Attacked) -> Iterator[tuple[str, Cost]]:
    """Yield each breach and what it cost; the service is one that waits RECEIVE_SECONDS."""
    for name, text in REQUESTS.items():
        cost = Cost(tried=1)
        before = service.content()
        _judge(cost, _answered(service, text.encode("latin-1")))
        cost.faults += service.changed(before)
        _alive(service, cost)
        yield name, cost
    yield "bodies that drip", _dripping(service)


def _answered(service: Attacked, sent: bytes) -> bytes:
    parts = urlsplit(service.url)
    answer = b""
    with socket.create_connection((parts.hostname, parts.port), 20) as connection:
        try:
            connection.sendall(sent)
            while piece := connection.recv(65_536):
                answer += piece
        except ConnectionError:  # it has heard enough
            pass
        except TimeoutError:
            return b"(no end)"
    return answer


def _judge(cost: Cost, answer: bytes) -> None:
    """Note what is wrong: an answer to what was smuggled, one that is no refusal, and none that ends."""
    if answer == b"":
        return
    head, _, body = answer.partition(b"\r\n\r\n")
    status = int(head[9:12]) if head[9:12].isdigit() else 0
    if status not in REFUSED:
        cost.faults.append(f"answered {head[:60]!a}")
    elif answer.count(b"HTTP/1.1 ") != 1:
        cost.faults.append("answered twice")
    elif not json.loads(body)["detail"]:
        cost.faults.append("a refusal without a word")


def _alive(service: Attacked, cost: Cost) -> None:
    answer = requests.get(f"{service.url}/health/live", timeout=30)
    cost.faults += [] if answer.status_code == 200 else ["is not alive"]


def _dripping(service: Attacked, count: int = 12) -> Cost:
    """Hold three times as many connections as there are threads, each with a byte now and then; others are answered."""
    cost = Cost(tried=count)
    parts = urlsplit(service.url)
    held = [socket.create_connection((parts.hostname, parts.port), 30) for _ in range(count)]
    try:
        for each in held:
            each.sendall(f"{_START}Content-Length: 1000\r\n\r\n".encode())
        ends = time.monotonic() + 6 * RECEIVE_SECONDS
        open_still = list(held)
        while open_still and time.monotonic() < ends:
            open_still = [each for each in open_still if _dripped(each)]
            time.sleep(0.2)
        _alive(service, cost)
        cost.faults += [f"{len(open_still)} are still waited for"] if open_still else []
    finally:
        for each in held:
            each.close()
    return cost


def _dripped(connection: socket.socket) -> bool:
    """Send one byte more; whether the service still waits for the next."""
    connection.settimeout(0.01)
    try:
        connection.sendall(b" ")
        connection.recv(1)
    except TimeoutError:
        return True
    except OSError:
        pass
    return False
