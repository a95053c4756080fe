"""Bodies of JSON that are made to hurt, sent wherever JSON is taken."""

import json
from collections.abc import Callable
from collections.abc import Iterator
from secrets import token_hex
from typing import Any

from tests.api.prepared import ELEVATOR
from tests.trust.hostile.attacked import MEBIBYTE
from tests.trust.hostile.attacked import Attacked
from tests.trust.hostile.attacked import Cost

LONGEST = 2 * MEBIBYTE
_HEAD = json.dumps({**ELEVATOR, "components": []})[: -len("[]}")]
_TAIL = "]}"


def filled(each: str, before: str = "[", after: str = "]", size: int = LONGEST) -> str:
    """Return a list of so many of each as there is room for."""
    count = (size - len(before) - len(after)) // (len(each) + 1)
    return before + ",".join([each] * count) + after


def components(each: Callable[[int], str], count: int) -> str:
    """Return a panel of components that are made from their numbers."""
    return _HEAD + "[" + ",".join(map(each, range(count))) + _TAIL


def _with(path: str, value: Any) -> str:
    """Return the demo panel with another value in a place, or one more."""
    document = json.loads(json.dumps(ELEVATOR))
    *steps, last = path.split("/")
    place = document
    for step in steps:
        place = place[int(step) if isinstance(place, list) else step]
    place[last] = value
    return json.dumps(document, ensure_ascii=False)


BODIES: dict[str, Callable[[], str | bytes]] = {
    "lists 100,000 deep": lambda: "[" * 100_000 + "]" * 100_000,
    "objects 100,000 deep": lambda: '{"a":' * 100_000 + "1" + "}" * 100_000,
    "2 MiB of opening brackets": lambda: "[" * LONGEST,
    "many lists 30 deep": lambda: filled("[" * 30 + "]" * 30),
    "many objects 28 deep in place of components": lambda: filled('{"a":' * 28 + "1" + "}" * 28, _HEAD + "[", _TAIL),
    "many lists 28 deep in place of components": lambda: filled("[" * 28 + "]" * 28, _HEAD + "[", _TAIL),
    "a string of 10 MB": lambda: '"' + "a" * 10**7 + '"',
    "a string of 2 MiB as an id": lambda: _with("components/0/id", "a" * (LONGEST - 4_000)),
    "2 MiB of backslashes": lambda: '"' + "\\\\" * (LONGEST // 2 - 1) + '"',
    "100,000 components": lambda: filled('{"id":"a"}', _HEAD + "[", _TAIL),
    "100,000 components with names": lambda: components(lambda n: f'{{"id":"c{n}","fed_from":"c{n}"}}', 100_000),
    "20,000 components that feed each other round": lambda: components(
        lambda n: f'{{"id":"c{n}","kind":"fuse","fed_from":["c{n * 7 % 20_000}","c{(n * 31 + 5) % 20_000}"]}}', 20_000
    ),
    "a million faults in lists in lists": lambda: filled(
        '{"id":"a","kind":"fuse","let_through":' + filled('{"a":1}', size=800) + "}", _HEAD + "[", _TAIL
    ),
    "150,000 unknown fields": lambda: "{" + ",".join(f'"k{n}":1' for n in range(150_000)) + "}",
    "150,000 keys that are repeated": lambda: filled('{"a":1,"a":2}'),
    "keys that are repeated 28 deep": lambda: filled('{"a":' * 28 + '{"b":1,"b":2}' + "}" * 28),
    "a huge exponent": lambda: _with("components/0/stock", 0).replace('"stock": 0', '"stock": 1e999999999'),
    "350,000 numbers out of range": lambda: filled("1e999"),
    "an integer of 2 million digits": lambda: "[" + "9" * (LONGEST - 2) + "]",
    "a fraction of 2 million digits": lambda: "[0." + "9" * (LONGEST - 4) + "]",
    "NaN": lambda: "[NaN]",
    "Infinity": lambda: '{"a":-Infinity}',
    "a lone surrogate": lambda: _HEAD.replace("Bucket", "\\ud800") + "[" + _TAIL,
    "NUL in a text": lambda: _HEAD.replace("Bucket", "a\\u0000b") + "[" + _TAIL,
    "230,000 control characters": lambda: filled('"\\u0001"'),
    "a byte order mark": lambda: b"\xef\xbb\xbf" + json.dumps(ELEVATOR).encode(),
    "UTF-16": lambda: json.dumps(ELEVATOR).encode("utf-16"),
    "UTF-32 without a mark": lambda: json.dumps(ELEVATOR).encode("utf-32-be"),
    "bytes that are no UTF-8": lambda: json.dumps(ELEVATOR).encode().replace(b"Bucket", b"\xc0\xaf\xff"),
    "a quantity of 2 million digits": lambda: _with("components/0/ampere_rating", "9" * (LONGEST - 4_000) + " A"),
    "a quantity of thousands without end": lambda: _with(
        "components/0/ampere_rating", "1" + " 000" * 500_000 + " A" + "x" * 10_000
    ),
    "bidirectional controls in an id": lambda: _with("components/0/id", "-FC\u202e1"),
    "an invisible character in an id": lambda: _with("components/0/id", "-FC1\u200b"),
    "prototype pollution": lambda: _with("__proto__", {"polluted": True}),
    "nothing": lambda: "",
    "only space": lambda: " " * LONGEST,
    "two values": lambda: "{} {}",
}

JSON = {"Content-Type": "application/json"}
PLACES = (
    ("POST", "/v1/ratings", {}),
    ("POST", "/v1/ratings?record=true", {}),
    ("POST", "/v1/diagrams", {}),
    ("POST", "/v1/fault-currents", {}),
    ("POST", "/v1/selections", {}),
    ("POST", "/v1/upgrade-plans?target=65%20kA", {}),
    ("PUT", "/v1/orders/TO-1/panels/ELV-02", {"If-None-Match": "*"}),
    ("PUT", "/v1/parts/NEW-1", {"If-None-Match": "*"}),
    ("POST", "/v1/webhooks", {}),
    ("POST", "/v1/catalogue/import", {}),
)
#: What the place says of a body that is right for another one, or of parameters.
REFUSED = frozenset({400, 413, 422})


def tried(service: Attacked, every: int = 1) -> Iterator[tuple[str, Cost]]:
    """Yield each body and what it cost, at one place in so many."""
    for number, (name, made) in enumerate(BODIES.items()):
        cost = Cost()
        text = made()
        body = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
        before = service.content()
        for place, (method, path, more) in enumerate(PLACES):
            if (number + place) % every == 0:
                key = {"Idempotency-Key": token_hex(8)} if "record" in path else {}
                service.ask(cost, method, path, body, {**JSON, **more, **key}, REFUSED)
        cost.faults += service.changed(before)
        yield name, cost
