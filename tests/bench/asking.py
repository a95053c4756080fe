"""A caller that asks as fast as it is answered, over so many connections at once; in a process of its own.

`python -m tests.bench.asking`: a job as JSON on standard input, what came of it as JSON on standard output.
"""

import json
import select
import socket
import sys
import time
from dataclasses import dataclass
from dataclasses import field
from pathlib import Path
from typing import Any

_HEAD = (
    "POST /v1/ratings HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Type: application/json\r\nContent-Length: {length}"
    "\r\n\r\n"
)
_PIECE = 2**18
#: Connections that are tried for each that is wanted, so that each worker gets as many as the others.
_TRIES = 16
_PATIENCE = 5.0


@dataclass(slots=True)
class _Connection:
    """A connection, when its last question was sent, and how much of the answer is still to come."""

    socket: socket.socket
    asked: float = 0.0
    left: int = 0
    head: bytearray = field(default_factory=bytearray)


class _Questions:
    """Requests that differ from each other in the number that stands in the body, or are the same each time."""

    def __init__(self, job: dict[str, Any]) -> None:
        before, after = job["body"].split(job["mark"])
        head = _HEAD.format(port=job["port"], length=len(before.encode()) + 8 + len(after.encode()))
        self._before, self._after = (head + before).encode(), after.encode()
        self._number, self._step = job["first"], int(job["distinct"])

    def next(self) -> bytes:
        self._number += self._step
        return self._before + b"%08d" % self._number + self._after


def asked(job: dict[str, Any]) -> dict[str, Any]:
    """Ask for so many seconds, and return how many answers came, and how long each took [ms]."""
    connections = _spread(job["port"], job["connections"], job["workers"])
    questions = _Questions(job)
    poll = select.epoll()
    by_number = {each.socket.fileno(): each for each in connections}
    for number in by_number:
        poll.register(number, select.EPOLLIN)
    took: list[float] = []
    began = time.perf_counter()
    for each in connections:
        _ask(each, questions)
    while (now := time.perf_counter()) - began < job["seconds"]:
        for number, _ in poll.poll(1.0):
            each = by_number[number]
            if _answered(each):
                took.append(time.perf_counter() - each.asked)
                _ask(each, questions)
    split = _split([each.socket.getsockname()[1] for each in connections], job["port"], job["workers"])
    for each in connections:
        each.socket.close()
    milliseconds = sorted(1_000 * each for each in took)
    return {"seconds": now - began, "milliseconds": milliseconds, "split": [*split.values()]}


def _ask(each: _Connection, questions: _Questions) -> None:
    each.asked = time.perf_counter()
    each.socket.sendall(questions.next())


def _answered(each: _Connection) -> bool:
    """Take what has come; whether it is all of the answer."""
    piece = each.socket.recv(_PIECE)
    assert piece, "the connection was closed"
    if each.left:
        each.left -= len(piece)
        return each.left == 0
    each.head += piece
    head, end, body = bytes(each.head).partition(b"\r\n\r\n")
    if not end:
        return False
    assert head.startswith(b"HTTP/1.1 200"), head + body
    length = head.lower().split(b"content-length:")[1].split(b"\r\n")[0]
    each.left = int(length) - len(body)
    each.head.clear()
    return each.left == 0


def _spread(port: int, count: int, workers: list[int]) -> list[_Connection]:
    """Return connections of which each worker has as many as the others, as far as they can be shared out.

    The kernel gives a connection to a worker by its port: more are opened than are wanted, and some are let go.
    """
    most = -(-count // len(workers))
    taken: dict[int, list[socket.socket]] = {worker: [] for worker in workers}
    for _ in range(_TRIES * count):
        opened = socket.create_connection(("127.0.0.1", port))
        opened.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        [worker] = _owners([opened.getsockname()[1]], port, workers).values()
        if len(taken[worker]) < most:
            taken[worker].append(opened)
        else:
            opened.close()
        if sum(map(len, taken.values())) == count:
            break
    return [_Connection(each) for some in taken.values() for each in some]


def _split(ports: list[int], port: int, workers: list[int]) -> dict[int, int]:
    owners = [*_owners(ports, port, workers).values()]
    return {worker: owners.count(worker) for worker in workers}


def _owners(ports: list[int], port: int, workers: list[int]) -> dict[int, int]:
    """Return which worker has which of our ports at the other end, once all are taken."""
    ends = time.monotonic() + _PATIENCE
    while True:
        inodes = _inodes(port)
        held = {f"socket:[{inodes[each]}]": each for each in ports if each in inodes}
        found = {held[link]: worker for worker in workers for link in _links(worker) if link in held}
        if len(found) == len(ports):
            return found
        assert time.monotonic() < ends, "no worker takes the connection"
        time.sleep(0.002)


def _inodes(port: int) -> dict[int, str]:
    """Return the inode of each connection of a server, by the port at the other end."""
    found = {}
    for row in Path("/proc/net/tcp").read_text().splitlines()[1:]:
        own, other, *rest = row.split()[1:]
        if int(own.split(":")[1], 16) == port:
            found[int(other.split(":")[1], 16)] = rest[6]
    return found


def _links(process: int) -> list[str]:
    links = []
    for link in Path(f"/proc/{process}/fd").iterdir():
        try:
            links.append(str(link.readlink()))
        except FileNotFoundError:
            continue
    return links


if __name__ == "__main__":
    json.dump(asked(json.load(sys.stdin)), sys.stdout)
