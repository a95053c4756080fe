"""Texts that some program behind would take for something else: SQL, templates, formulas, markup, paths, controls.

Where a text is wanted they are that text, kept and shown as it was written; anywhere else they are refused.
"""

import json
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from typing import Any
from urllib.parse import quote
from xml.etree import ElementTree

import yaml
from openpyxl import load_workbook

from sccr.schema.exchange import XLSX
from sccr.schema.exchange import import_table
from tests.api.conftest import ROOT
from tests.api.prepared import BREAKER
from tests.api.prepared import DESIGNATION
from tests.api.prepared import ELEVATOR
from tests.api.prepared import ORDER
from tests.api.prepared import RECORDS
from tests.trust.hostile.attacked import Attacked
from tests.trust.hostile.attacked import Cost
from tests.trust.hostile.bodies import JSON

TEXTS = {
    "SQL": "'; DROP TABLE keys; --",
    "SQL that is always true": "' OR 1=1 /*",
    "SQL with a wildcard": "%_\\%",
    "a template": "{{7*7}}${7*7}<%= 7*7 %>#{7*7}{% raw %}",
    "a format": "%s%n{0.__class__.__mro__}",
    "markup": "<script>alert(1)</script>",
    "markup out of an attribute": "\"'><img src=x onerror=alert(1)>",
    "markup out of a drawing": "]]></text><script>alert(1)</script>",
    "an entity": "&lol;&#x3c;script&#x3e;",
    "a formula": "=cmd|' /C calc'!A0",
    "a formula with plus": "+1+1",
    "a formula with minus": "-2+3+cmd|' /C calc'!A0",
    "a formula with at": "@SUM(1+1)*cmd|' /C calc'!A0",
    "a path": "../../../../etc/passwd",
    "a path of another system": "..\\..\\windows\\win.ini",
    "a command": "$(reboot)`reboot`;reboot|reboot",
    "a header": "x%0d%0aSet-Cookie: a=b",
    "look-alikes": "РЕLLЕТ-ⅯⅠLL",
    "a lookup": "${jndi:ldap://127.0.0.1:1/a}",
}
#: What no text, name or parameter may hold; in an address as they are encoded.
CONTROLS = {
    "NUL": "a\0b",
    "a line feed": "a\nSet-Cookie: a=b",
    "a carriage return": "a\rb",
    "a tab in front of a formula": "\t=1+1",
    "an escape": "\x1b[2J\x1b]0;owned\x07",
    "C1 controls": "\x9b31m\x85",
}
#: What is printed in no name, but may stand in a text.
TURNED = {"right to left": "a\u202e1-CF\u202c", "invisible": "a\u200b\u2060b"}
#: Paths as they are sent, byte for byte.
PATHS = (
    *("/../../etc/passwd", "/page/../../app.py", "/page/%2e%2e/%2e%2e/app.py", "/page/x/..%2f..%2fapp.py"),
    *("/page/x/..%5c..%5capp.py", "/v1/parts/..%2f..%2fetc%2fpasswd", "/v1/parts/%00", "/v1/parts/a%00.json"),
    *("/v1/parts/%c0%ae%c0%ae%c0%af", "/v1/parts/%ff%fe", "/v1/parts/%", "/v1/parts/%zz", "/v1//parts", "//v1/parts"),
    *("/v1/orders/%2e%2e/panels/%2e%2e/report", "/v1/records/..%2f..", "/problems/..%2f..%2fapi", "/openapi.yaml/.."),
    *(
        "/v1/parts/" + "a" * 4_000,
        "/v1/parts/" + "%2f" * 1_300,
        "/v1/orders/%0d%0aX:%20y/panels",
        "/?" + "a=b&" * 1_900,
    ),
)
_REFUSED = frozenset({400, 404, 414, 422})
_NEVER_BROKEN = frozenset({200, 400, 404, 405, 406, 409, 414, 415, 422})


def tried(service: Attacked, every: int = 1) -> Iterator[tuple[str, Cost]]:
    """Yield each text and what it cost."""
    for number, (name, text) in enumerate({**TEXTS, **TURNED}.items()):
        if number % every == 0:
            yield f"{name}, in every text of a panel and a part", _kept(service, text)
    for number, (name, text) in enumerate(CONTROLS.items()):
        if number % every == 0:
            yield f"{name}, in every text of a panel and a part", _refused(service, text)
    for number, (name, text) in enumerate({**TEXTS, **TURNED, **CONTROLS}.items()):
        if number % every == 0:
            yield f"{name}, in every parameter and step of a path", _asked_for(service, text)
    yield "paths out of what is served", _paths(service)


def _panel(text: str, designation: str) -> dict[str, Any]:
    panel = dict.fromkeys(("title", "builder", "drawing", "revision", "enclosure_type", "serial"), text)
    return {**ELEVATOR, "panel": {**panel, "designation": designation, "order": "TO-1"}}


def _kept(service: Attacked, text: str) -> Cost:
    """Put a panel and a part with the text, read it in all forms, and take away what can be."""
    cost = Cost()
    place = f"/v1/orders/TO-1/panels/{quote(text, safe='')}"
    body = json.dumps(_panel(text, text)).encode()
    made = service.ask(cost, "PUT", place, body, {**JSON, "If-None-Match": "*"}, frozenset({201, 422}))
    if made is None or made.status_code != 201:
        return cost
    document = service.ask(cost, "GET", place, allowed=frozenset({200}))
    if document is not None and document.json()["document"]["panel"]["title"] != text:
        cost.faults.append("is not what was written")
    _drawings(service, cost, place, text)
    part = {**BREAKER, "part": "HOSTILE-1", "description": text}
    headers = {**JSON, "If-None-Match": "*"}
    service.ask(cost, "PUT", "/v1/parts/HOSTILE-1", json.dumps(part).encode(), headers, frozenset({200, 201}))
    _tables(service, cost, text)
    service.ask(cost, "DELETE", "/v1/parts/HOSTILE-1", None, {"If-Match": "*"}, frozenset({200, 204}))
    return cost


def _drawings(service: Attacked, cost: Cost, place: str, text: str) -> None:
    """Read what is drawn and written of a panel: nothing of the text is markup, and no name a path."""
    for form in ("nameplate?format=svg", "report?format=html", "report?format=pdf", "report?format=markdown"):
        answer = service.ask(cost, "GET", f"{place}/{form}", allowed=frozenset({200, 409}))
        if answer is None or answer.status_code != 200:
            continue
        if "Set-Cookie" in answer.headers:
            cost.faults.append(f"{form}: a header of the caller's")
        name = answer.headers.get("Content-Disposition", "")
        if any(sign in name for sign in ("/", "\\", "..", "\r", "\n")) or any(not c.isprintable() for c in name):
            cost.faults.append(f"{form}: a name that is a path: {name}")
        if form.endswith("svg") and ElementTree.fromstring(answer.content).findall(".//{*}script"):
            cost.faults.append(f"{form}: a script")
        if form.endswith("html") and any(bad in answer.text.lower() for bad in ("<script", "<img src=x", "&lol;")):
            cost.faults.append(f"{form}: markup of the caller's")
        if form.endswith("markdown") and "{{7*7}}" in text and "{{7*7}}" not in answer.text.replace("\\", ""):
            cost.faults.append(f"{form}: a template was worked out")


def _tables(service: Attacked, cost: Cost, text: str) -> None:
    """Read the catalogue as a table: a text is a text in each, whatever it begins with."""
    answer = service.ask(cost, "GET", "/v1/catalogue/export?format=csv", allowed=frozenset({200}))
    if answer is not None and any(f"{sign}{text[0]}" in answer.text for sign in ",;" if text[0] in "=+-@"):
        cost.faults.append("CSV: a formula")
    answer = service.ask(cost, "GET", "/v1/catalogue/export?format=xlsx", allowed=frozenset({200}))
    if answer is not None:
        cells = [cell for row in load_workbook(BytesIO(answer.content)).active.iter_rows() for cell in row]
        if any(cell.data_type == "f" for cell in cells):
            cost.faults.append("XLSX: a formula")
        if text not in [part.get("description") for part in import_table(answer.content, XLSX).parts]:
            cost.faults.append("XLSX: the text is another when it comes back")


def _refused(service: Attacked, text: str) -> Cost:
    """Send the text in each place; nothing of it is kept."""
    cost = Cost()
    before = service.content()
    for name in ("title", "builder", "designation", "order"):
        document = _panel("plain", "ELV-09")
        document["panel"][name] = text
        for path in ("/v1/ratings?record=true", "/v1/diagrams"):
            service.ask(cost, "POST", path, json.dumps(document).encode(), JSON, frozenset({422}))
    for name in ("id", "part", "fed_from"):
        document = _panel("plain", "ELV-09")
        document["components"] = [{**document["components"][0], name: text}, *document["components"][1:]]
        service.ask(cost, "POST", "/v1/ratings", json.dumps(document).encode(), JSON, frozenset({422}))
    part = json.dumps({**BREAKER, "part": "HOSTILE-1", "description": text}).encode()
    service.ask(cost, "PUT", "/v1/parts/HOSTILE-1", part, {**JSON, "If-None-Match": "*"}, frozenset({422}))
    place = f"/v1/orders/TO-1/panels/{quote(text, safe='')}"
    body = json.dumps(_panel("plain", text)).encode()
    service.ask(cost, "PUT", place, body, {**JSON, "If-None-Match": "*"}, _REFUSED)
    cost.faults += service.changed(before)
    return cost


@cache
def _questions() -> list[tuple[str, list[str], list[str]]]:
    """Return each address that is read, by the contract: its path, the names in it, and its parameters."""
    contract = yaml.safe_load((ROOT / "openapi.yaml").read_text("utf-8"))
    found = []
    for path, item in contract["paths"].items():
        if "get" in item:
            written = [*item.get("parameters", []), *item["get"].get("parameters", [])]
            told = [_resolved(contract, each) for each in written]
            within = [each["name"] for each in told if each["in"] == "path"]
            found.append((path, within, [each["name"] for each in told if each["in"] == "query"]))
    return found


def _resolved(contract: dict[str, Any], parameter: dict[str, Any]) -> dict[str, Any]:
    if "$ref" not in parameter:
        return parameter
    place: Any = contract
    for step in parameter["$ref"].removeprefix("#/").split("/"):
        place = place[step]
    return dict(place)


def _asked_for(service: Attacked, text: str) -> Cost:
    """Put the text into every parameter, and into every step of a path, one at a time."""
    cost = Cost()
    before = service.content()
    present = {"order": ORDER, "designation": DESIGNATION, "record": RECORDS[0], "part": "RYE-3P-15"}
    written = quote(text, safe="")
    for path, within, parameters in _questions():
        plain = {name: quote(present.get(name, "absent"), safe="") for name in within}
        for name in within:
            service.ask(cost, "GET", path.format(**{**plain, name: written}), allowed=_NEVER_BROKEN)
        for name in parameters:
            service.ask(cost, "GET", f"{path.format(**plain)}?{name}={written}", allowed=_NEVER_BROKEN)
    cost.faults += service.changed(before)
    return cost


def _paths(service: Attacked) -> Cost:
    cost = Cost()
    before = service.content()
    for path in PATHS:
        answer = service.ask(cost, "GET", path, allowed=_NEVER_BROKEN)
        if answer is not None and ("root:" in answer.text or "import " in answer.text):
            cost.faults.append(f"{path[:60]}: a file of the machine")
    cost.faults += service.changed(before)
    return cost
