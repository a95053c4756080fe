"""Callers who store revisions, records, parts and batches, and send again what got no answer, as an ERP does."""

import json
import random
import threading
import time
import uuid
from collections.abc import Callable
from typing import Any

import requests

import sccr
from tests.work.serving import ROOT

from .ledger import Acknowledged
from .ledger import Ledger
from .ledger import Sent
from .served import Served

PANEL: dict[str, Any] = json.loads((ROOT / "fixtures" / "panels" / "all_marked.json").read_bytes())
del PANEL["panel"]["order"]  # that is said by the address
RATING: dict[str, Any] = json.loads(json.dumps(sccr.rate(PANEL).as_dict()))
LINES = 6
#: What a rating is told by: the members that must be the same, whatever the designation.
TOLD = ("status", "rating", "limited_by", "components", "derivation")
_PAUSE = 0.05
_JSON = {"Content-Type": "application/json"}
_NDJSON = {"Content-Type": "application/x-ndjson"}


def panel(designation: str) -> dict[str, Any]:
    return {**PANEL, "panel": {**PANEL["panel"], "designation": designation}}


def is_right(result: Any) -> bool:
    """Return whether a rating is that of the panel that was sent."""
    return isinstance(result, dict) and all(result.get(name) == RATING[name] for name in TOLD)


class Caller:
    """One who asks for one thing after the other; a request is sent again until it is answered for good."""

    def __init__(self, served: Served, ledger: Ledger, number: int, seed: int, *, may_break: bool) -> None:
        self._served = served
        self._ledger = ledger
        self._random = random.Random(f"{seed}-{number}")
        self._order = f"A-{seed}-{number}"
        self._may_break = may_break
        self._made = 0
        self._etags: dict[str, str] = {}
        self._own: list[Acknowledged] = []
        self._session = requests.Session()
        self.pending: Sent | None = None

    def go_on(self) -> bool:
        """Send what is pending, or something new; return whether it was answered for good."""
        if self.pending is None:
            chosen = self._random.choices(self._kinds(), weights=(6, 4, 1, 1, 3, 3))[0]
            self.pending = chosen()
            if self.pending is None:
                return True
        sent = self.pending
        answered = self._try(sent)
        if answered is None:
            return False
        self._settle(sent, answered)
        self.pending = None
        return True

    def _kinds(self) -> tuple[Callable[[], Sent | None], ...]:
        return (self._revision, self._record, self._part, self._batch, self._again, self._look)

    def _sent(self, kind: str, method: str, path: str, headers: dict[str, str], body: bytes, expected: Any) -> Sent:
        key = str(uuid.UUID(int=self._random.getrandbits(128), version=4))
        return Sent(kind, method, path, {**headers, "Idempotency-Key": f'"{key}"'}, body, expected)

    def _revision(self) -> Sent:
        name = f"P-{self._random.randint(1, 3)}"
        etag = self._etags.get(name)
        condition = {"If-None-Match": "*"} if etag is None else {"If-Match": etag}
        path = f"/v1/orders/{self._order}/panels/{name}"
        return self._sent("revision", "PUT", path, _JSON | condition, json.dumps(panel(name)).encode(), name)

    def _record(self) -> Sent:
        name = self._new("R")
        return self._sent("record", "POST", "/v1/ratings?record=true", _JSON, json.dumps(panel(name)).encode(), name)

    def _part(self) -> Sent:
        part = {"part": self._new("FUSE"), "kind": "fuse", "fuse_class": "J", "ampere_rating": "30 A"}
        headers = _JSON | {"If-None-Match": "*"}
        return self._sent("part", "PUT", f"/v1/parts/{part['part']}", headers, json.dumps(part).encode(), part["part"])

    def _batch(self) -> Sent:
        names = [self._new("L") for _ in range(LINES)]
        body = "\n".join(json.dumps(panel(name)) for name in names).encode()
        return self._sent("batch", "POST", "/v1/batches?record=true", _NDJSON, body, names)

    def _new(self, letter: str) -> str:
        self._made += 1
        return f"{letter}-{self._order}-{self._made}"

    def _again(self) -> None:
        """Send something again that was answered: the answer must be the same."""
        if not self._own:
            return
        before = self._random.choice(self._own)
        response = self._try(before.sent)
        if response is None:
            return
        self._ledger.replayed += 1
        same = response.status_code == before.status and response.json() == before.answer
        if not same or response.headers.get("Idempotent-Replayed") != "true":
            self._ledger.fault(f"another answer to {before.sent.path} under the same key: {response.text[:300]}")

    def _look(self) -> None:
        """Ask for what changes nothing: a rating, one that was kept, a list of parts, a report."""
        kept = [each.headers["Location"] for each in self._own if each.sent.kind == "record"]
        looks = [("POST", "/v1/ratings"), ("GET", "/v1/parts?kind=fuse&limit=20"), ("GET", "/v1/orders?limit=20")]
        if kept:
            looks += [("GET", kept[-1]), ("GET", f"{kept[-1]}/report?format=html"), ("GET", f"{kept[-1]}/nameplate")]
        method, path = self._random.choice(looks)
        posted = method == "POST"
        body = json.dumps(panel("P-0")).encode() if posted else b""
        response = self._try(Sent("look", method, path, dict(_JSON) if posted else {}, body, None))
        if response is not None and (posted or path in kept) and not is_right(_result(response.json())):
            self._ledger.fault(f"a wrong rating: {response.text[:300]}")

    def _try(self, sent: Sent) -> requests.Response | None:
        """Return the answer to a request, None where it is to be sent again."""
        self._ledger.asked += 1
        began = time.monotonic()
        try:
            response = self._session.request(
                sent.method, self._served.url + sent.path, headers=sent.headers, data=sent.body, timeout=60
            )
        except requests.RequestException as error:
            if self._may_break:
                self._ledger.refuse("no answer")
            else:
                self._ledger.fault(f"no answer to {sent.method} {sent.path}: {error}")
            return None
        if response.ok:
            self._ledger.timings.append((began, time.monotonic() - began))
            return response
        self._refused(sent, response)
        return None

    def _refused(self, sent: Sent, response: requests.Response) -> None:
        """Note a refusal: it must say by a problem that and when the request may be sent again."""
        kind = response.json().get("type") if "json" in response.headers.get("Content-Type", "") else "no problem"
        known = response.status_code == 503 or kind == "/problems/idempotency-key-in-use"
        if known and "Retry-After" in response.headers:
            self._ledger.refuse(f"{response.status_code} {kind}")
        else:
            self._ledger.fault(f"{response.status_code} to {sent.method} {sent.path}: {response.text[:500]}")
            self.pending = None

    def _settle(self, sent: Sent, response: requests.Response) -> None:
        answer = response.json()
        if sent.kind == "revision":
            self._etags[sent.expected] = response.headers["ETag"]
        if sent.kind in ("revision", "record") and not is_right(_result(answer)):
            self._ledger.fault(f"a wrong rating: {response.text[:300]}")
        self._own.append(Acknowledged(sent, response.status_code, dict(response.headers), answer))
        self._ledger.note(self._own[-1])


def _result(answer: Any) -> Any:
    """Return the rating in an answer: alone, or of a record or a revision."""
    return answer.get("result", answer)


class Load:
    """Some callers at once, each in a thread."""

    def __init__(self, served: Served, seed: int, callers: int = 3, *, may_break: bool = False) -> None:
        self.ledger = Ledger()
        self.served = served
        self._callers = [Caller(served, self.ledger, number, seed, may_break=may_break) for number in range(callers)]

    def run(self, seconds: float, meanwhile: Callable[[], None] | None = None) -> None:
        """Have all of them ask for so many seconds; `meanwhile` is called in the middle of it."""
        stop = threading.Event()
        threads = [threading.Thread(target=self._ask, args=(caller, stop)) for caller in self._callers]
        for thread in threads:
            thread.start()
        try:
            time.sleep(seconds / 2 if meanwhile else seconds)
            if meanwhile is not None:
                meanwhile()
                time.sleep(seconds / 2)
        finally:
            stop.set()
            for thread in threads:
                thread.join()

    def settle(self, seconds: float = 60) -> None:
        """Send again whatever is pending, until all of it is answered."""
        ends = time.monotonic() + seconds
        for caller in self._callers:
            while caller.pending is not None and not caller.go_on():
                if time.monotonic() > ends:
                    self.ledger.fault(f"never answered: {caller.pending.method} {caller.pending.path}")
                    break
                time.sleep(_PAUSE)

    def _ask(self, caller: Caller, stop: threading.Event) -> None:
        try:
            while not stop.is_set():
                if not caller.go_on():
                    time.sleep(_PAUSE)
        except Exception as error:
            self.ledger.fault(f"a caller ended: {error!r}")
            raise
