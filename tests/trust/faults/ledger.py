"""What the service has acknowledged: noted by whoever asked, and held against the store at the end."""

import threading
from collections import Counter
from dataclasses import dataclass
from dataclasses import field
from typing import Any


@dataclass(frozen=True, slots=True)
class Sent:
    """A request that changes something, as it is sent, however often: with one Idempotency-Key."""

    kind: str
    method: str
    path: str
    headers: dict[str, str]
    body: bytes
    #: What the rating must be, of a panel; the part, of a part; the designations of its lines, of a batch.
    expected: Any


@dataclass(frozen=True, slots=True)
class Acknowledged:
    """A request with the answer that it was given."""

    sent: Sent
    status: int
    headers: dict[str, str]
    answer: Any


@dataclass(slots=True)
class Ledger:
    """All that was acknowledged, what was refused for the moment, and what must not have happened."""

    acknowledged: list[Acknowledged] = field(default_factory=list)
    refused: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    #: Of each request that was answered for good: when it was sent [s, monotonic], and how long it took [s].
    timings: list[tuple[float, float]] = field(default_factory=list)
    replayed: int = 0
    asked: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def of(self, *kinds: str) -> list[Acknowledged]:
        """Return what was acknowledged of some kinds."""
        return [each for each in self.acknowledged if each.sent.kind in kinds]

    def note(self, acknowledged: Acknowledged) -> None:
        with self.lock:
            self.acknowledged.append(acknowledged)

    def refuse(self, why: str) -> None:
        with self.lock:
            self.refused[why] += 1

    def fault(self, what: str) -> None:
        with self.lock:
            self.faults.append(what)
