"""The client against the service as it is served, and behind a line that loses answers."""

import http.client
import json
import threading
from collections.abc import Iterator
from contextlib import closing
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler
from http.server import ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import requests

from api import create_app
from api.access import Role
from api.access import new_key
from api.client import BadAddress
from api.client import Client
from api.client import NoAnswer
from api.client import Problem
from api.client import Retries
from api.settings import Settings

from .conftest import ROOT
from .prepared import BREAKER
from .prepared import CONTACTOR
from .prepared import DESIGNATION
from .prepared import ELEVATOR
from .prepared import ORDER
from .prepared import RECORDS
from .prepared import prepared_store
from .running import running

TARGET = "http://127.0.0.1:9"
QUICK = Retries(attempts=4, first_pause=0.01, longest_pause=0.05)


@contextmanager
def served(folder: Path, *, role: Role | None) -> Iterator[tuple[str, str | None]]:
    """Yield the address of a service on the prepared store, and a key of a role, where there are to be keys."""
    key = None if role is None else new_key(role)
    with closing(prepared_store(folder)) as store:
        if key is not None:
            store.add_key(key.prefix, key.hash, key.role.label, "the client")
    settings = {"workers": 1, "threads": 8, "webhook_targets": [TARGET], "webhook_attempts": 1}
    with running(f"sqlite:///{folder / 'prepared.db'}", **settings) as url:
        yield url, None if key is None else key.text


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    with served(tmp_path_factory.mktemp("served"), role=Role.ADMIN) as (url, key):
        assert key is not None
        yield url, key


@pytest.fixture
def client(service: tuple[str, str]) -> Iterator[Client]:
    with Client(*service, retries=QUICK) as made:
        yield made


def panel(order: str, designation: str, **more: Any) -> dict[str, Any]:
    identity = {**ELEVATOR["panel"], "order": order, "designation": designation}
    return {**ELEVATOR, "panel": {**identity, **more}}


class Line(ThreadingHTTPServer):
    """What stands between a caller and the service: it passes requests on, and does a mischief to each as planned.

    "lose": the service does what it is asked, but its answer is lost. "cut": the answer breaks off in its middle. A
    number: the service is not asked, and that is the status. "pass": nothing.
    """

    daemon_threads = True

    def __init__(self, url: str, *plan: str | int) -> None:
        super().__init__(("127.0.0.1", 0), _Hop)
        self.behind = urlsplit(url).netloc
        self.plan = list(plan)
        self.keys: list[str | None] = []
        self.url = f"http://127.0.0.1:{self.server_address[1]}"
        threading.Thread(target=self.serve_forever, args=(0.02,), daemon=True).start()

    def __exit__(self, *arguments: object) -> None:
        self.shutdown()
        self.server_close()


class _Hop(BaseHTTPRequestHandler):
    server: Line

    def _hop(self) -> None:
        self.close_connection = True
        body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        self.server.keys.append(self.headers["Idempotency-Key"])
        mischief = self.server.plan.pop(0) if self.server.plan else "pass"
        if isinstance(mischief, int):
            self.send_response(mischief)
            self.send_header("Retry-After", "0")
            self.end_headers()
            return
        connection = http.client.HTTPConnection(self.server.behind, timeout=60)
        connection.request(self.command, self.path, body, dict(self.headers))
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        if mischief == "lose":
            return
        self.send_response(answer.status)
        for name, value in answer.getheaders():
            if name.lower() not in ("transfer-encoding", "connection", "content-length", "date", "server"):
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content[: len(content) // 2] if mischief == "cut" else content)

    def do_GET(self) -> None:
        self._hop()

    def do_POST(self) -> None:
        self._hop()

    def do_PUT(self) -> None:
        self._hop()

    def do_DELETE(self) -> None:
        self._hop()

    def log_message(self, format: str, *arguments: Any) -> None:
        pass


def test_every_operation_of_the_service_is_there(tmp_path: Path, service: tuple[str, str]) -> None:
    app = create_app(Settings(data=tmp_path))
    every = {(rule.endpoint, method) for rule in app.url_map.iter_rules() for method in rule.methods or ()}
    reached: set[tuple[str, str]] = set()

    def note(response: requests.Response, *_: Any, **__: Any) -> None:
        method = str(response.request.method)
        path = urlsplit(str(response.request.url)).path
        reached.add((app.url_map.bind("127.0.0.1").match(path, method)[0], method))

    with Client(*service, retries=QUICK) as client:
        client._session.hooks["response"].append(note)
        ask_of_the_service(client)
        ask_of_parts(client)
        ask_of_orders(client)
        ask_of_batches(client)
        ask_of_the_fleet(client)
        ask_of_webhooks(client)
        ask_of_planning(client)

    of_programs = {each for each in every if each[1] not in ("HEAD", "OPTIONS") and not each[0].startswith("page.")}
    assert of_programs == reached


def ask_of_the_service(client: Client) -> None:
    assert client.live()["status"] == "pass"
    assert client.ready()["access"] == "keys"
    assert client.editions()[0]["default"] is True
    assert "sccr_requests_total" in client.metrics()
    assert client.contract()["openapi"] in client.contract_yaml()
    assert client.explain("forbidden")["status"] == 403
    assert client.rate(ELEVATOR)["rating"]["current"] == "18 kA"
    kept = client.rate_and_keep(ELEVATOR)
    assert client.record(kept["id"]) == kept
    assert client.record_rating(kept["id"]) == kept["result"]
    assert client.rating(kept["document_digest"]) == kept["result"]
    for short in (
        client.rate(ELEVATOR, derivation="none"),
        client.rating(kept["document_digest"], derivation="none"),
        client.record_rating(kept["id"], derivation="none"),
        client.record(kept["id"], derivation="none")["result"],
        client.rate_and_keep(ELEVATOR, derivation="none")["result"],
    ):
        assert short == {**kept["result"], "derivation": [], "derivation_extent": "none"}
    assert kept["id"] in [each["id"] for each in client.records(part=BREAKER["part"])]
    assert client.record_nameplate(RECORDS[1], "png", size="148x105", dpi=150).content.startswith(b"\x89PNG")
    assert client.record_report(RECORDS[0], "pdf", paper="letter", symbols="iec").content.startswith(b"%PDF")


def ask_of_planning(client: Client) -> None:
    site, circuit = (
        json.loads((ROOT / "fixtures" / name).read_bytes())
        for name in ("sites/receiving_pit.json", "circuits/elevator_leg_motor.json")
    )
    assert client.fault_current(site)["document"]
    assert len(client.select(circuit, limit=1)["suitable"]) <= 1
    assert client.upgrade_plans(ELEVATOR, target="10 kA", seconds=5)["plans"]
    assert client.diagram(ELEVATOR, symbols="iec", folded=["-FC1"]).startswith("<svg")
    table = client.component_table(b"Tag,Type\n-FC1,Circuit Breaker\n", columns=["id", None])
    assert table["columns"] == ["id", None]


def ask_of_parts(client: Client) -> None:
    new = {**BREAKER, "part": "RYE/3P 20%", "ampere_rating": "20 A"}
    put = client.put_part(new, create=True)
    assert put == client.part(new["part"])
    again = client.put_part({**new, "description": "Branch breaker"}, if_match=put.etag)
    assert again.value["description"] == "Branch breaker"
    assert new["part"] in [part["part"] for part in client.parts(kind="circuit_breaker", amperes_min="20 A")]
    newest = client.catalogue()
    assert client.catalogue_version(newest.value["number"]) == newest
    table = client.export_parts("csv")
    assert (table.media_type, table.name) == ("text/csv", f"catalogue-{newest.value['number']}.csv")
    assert client.import_parts(table.content, "csv", dry_run=True)["valid"] is True
    client.delete_part(new["part"], if_match=again.etag)
    back = client.import_parts(table.content, "csv", note="back", if_match=client.catalogue().etag)
    assert client.part(new["part"]).value["description"] == "Branch breaker"
    assert next(client.catalogue_versions())["number"] == back["catalogue_version"]


def ask_of_orders(client: Client) -> None:
    order, name = "TO-7/2", "ELV 03"
    first = client.put_panel(order, name, panel(order, name), create=True)
    second = client.put_panel(order, name, panel(order, name, title="Elevator, moved"), if_match=first.etag)
    assert client.panel(order, name) == second
    assert client.panel(order, name, 1).value["document"] == panel(order, name)
    assert [each["revision"] for each in client.revisions(order, name)] == [2, 1]
    assert [each["designation"] for each in client.panels(order)] == [name]
    assert [each["order"] for each in client.orders("TO-7")] == [order]
    assert client.panel_rating(order, name) == second.value["result"]
    assert client.panel_nameplate(order, name, "pdf").content.startswith(b"%PDF")
    assert client.panel_report(order, name, "markdown", revision=1).media_type == "text/markdown"
    assert client.compare(order, name, 1, 2)["same"] is True
    assert client.mark_shipped(order, name, 2)["shipped_at"] is not None


def ask_of_batches(client: Client) -> None:
    batch = client.create_batch([ELEVATOR, {}], record=True)
    ended = client.wait_for_batch(batch["id"], seconds=60, pause=0.05)
    assert (ended["state"], ended["done"], ended["failed"], ended["record"]) == ("done", 2, 1, True)
    assert [each["line"] for each in client.results(batch["id"])] == [1, 2]
    assert [each["line"] for each in client.results(batch["id"], after=1)] == [2]
    assert batch["id"] in [each["id"] for each in client.batches("done")]
    assert client.cancel_batch(batch["id"]) == client.batch(batch["id"])


def ask_of_the_fleet(client: Client) -> None:
    change: dict[str, Any] = {"format": "impact/1", "changed_parts": [CONTACTOR]}
    at_once = client.impact(change)
    assert at_once["counts"]["below_available"] == len(at_once["impacts"]) > 0
    run = client.impact({**change, "scope": "all"}, wait=False)
    ended = client.wait_for_impact(run["id"], seconds=60, pause=0.05)
    assert (ended["state"], ended["counts"]["changed"]) == ("done", at_once["counts"]["changed"])
    assert list(client.impact_results(run["id"], outcome="below_available")) == at_once["impacts"]
    assert list(client.impact_results(run["id"], outcome="raised", shipped=True)) == []
    assert run["id"] in [each["id"] for each in client.impact_runs("done")]
    assert client.cancel_impact(run["id"]) == client.impact_run(run["id"])


def ask_of_webhooks(client: Client) -> None:
    made = client.create_webhook(f"{TARGET}/told", ["batch.ended"])
    assert made["secret"].startswith("whsec_")
    assert client.webhook(made["id"]) == client.webhooks()[-1]
    client.wait_for_batch(client.create_batch([{}])["id"], seconds=60, pause=0.05)
    for _ in range(600):
        if dead := list(client.deliveries(state="dead", webhook=made["id"])):
            break
        threading.Event().wait(0.05)
    assert client.delivery(dead[0]["id"])["event"] == "batch.ended"
    assert client.retry_delivery(dead[0]["id"])["id"] == dead[0]["id"]
    client.delete_webhook(made["id"])


def test_a_refusal_says_what_is_wrong_and_where(client: Client) -> None:
    with pytest.raises(Problem) as refused:
        client.rate({**ELEVATOR, "supplies": [{**ELEVATOR["supplies"][0], "voltage": "480"}]})

    assert (refused.value.status, refused.value.slug, refused.value.attempts) == (422, "invalid-document", 1)
    assert [error["pointer"] for error in refused.value.errors] == ["/supplies/0/voltage"]
    assert refused.value.request_id
    assert "/supplies/0/voltage: " in str(refused.value)


def test_a_stale_etag_and_a_second_first_revision_are_refused(client: Client) -> None:
    stale = client.panel(ORDER, DESIGNATION, 1).etag
    for more in ({"if_match": stale}, {"create": True}):
        with pytest.raises(Problem) as refused:
            client.put_panel(ORDER, DESIGNATION, ELEVATOR, **more)
        assert refused.value.status == 412


def test_lists_are_read_to_their_end(client: Client) -> None:
    parts = [{**BREAKER, "part": f"OAT-{number:03}"} for number in range(120)]
    client.import_parts(json.dumps({"format": "catalogue/1", "parts": parts}).encode(), "json")

    assert [part["part"] for part in client.parts(text="OAT-")] == [part["part"] for part in parts]


def test_what_was_done_though_the_answer_was_lost_is_not_done_again(service: tuple[str, str]) -> None:
    document = panel("TO-LOST", "ELV-9")
    with Line(service[0], "lose", 503, "cut") as line, Client(line.url, service[1], retries=QUICK) as client:
        record = client.rate_and_keep(document)
        put = client.put_panel("TO-LOST", "ELV-9", document, create=True)
        line.plan = ["lose"]
        again = client.put_panel("TO-LOST", "ELV-9", document, if_match=put.etag)
        records = list(client.records(document_digest=record["document_digest"]))

    assert again.value["revision"] == 2
    assert len(records) == 3, "one that was asked for by itself, and one for each revision"
    assert len(line.keys) == 4 + 1 + 2 + 1
    assert [len(set(line.keys[:4])), len(set(line.keys[4:5])), len(set(line.keys[5:7]))] == [1, 1, 1]
    assert len(set(line.keys[:7])) == 3
    assert line.keys[7] is None


def test_a_rating_that_is_not_kept_carries_no_key(service: tuple[str, str]) -> None:
    """The service would write the answer down for a day, for nothing."""
    with Line(service[0], "lose") as line, Client(line.url, service[1], retries=QUICK) as client:
        assert client.rate(ELEVATOR)["status"] == "rated"

    assert line.keys == [None, None]


def test_lines_of_a_batch_that_are_written_already_go_as_they_stand(client: Client) -> None:
    batch = client.create_batch([b"{", json.dumps(ELEVATOR).encode(), {}])
    client.wait_for_batch(batch["id"], seconds=60, pause=0.05)

    told = [each.get("problem", {"type": "rated"})["type"] for each in client.results(batch["id"])]
    assert told == ["/problems/malformed-json", "rated", "/problems/invalid-document"]


def test_batches_and_their_results_come_whole_over_a_bad_line(service: tuple[str, str]) -> None:
    documents = [panel("TO-B", f"ELV-{number}") for number in range(20)]
    with Line(service[0], "lose", 502) as line, Client(line.url, service[1], retries=QUICK) as client:
        before = len(list(client.batches()))
        line.plan = ["lose", 502]
        batch = client.create_batch(iter(documents))
        client.wait_for_batch(batch["id"], seconds=60, pause=0.05)
        line.plan = ["cut", "lose"]
        results = list(client.results(batch["id"]))
        after = len(list(client.batches()))

    assert after == before + 1
    assert [each["result"]["panel"]["designation"] for each in results] == [f"ELV-{n}" for n in range(20)]


def test_a_webhook_that_is_deleted_though_the_answer_was_lost_is_deleted(service: tuple[str, str]) -> None:
    with Line(service[0]) as line, Client(line.url, service[1], retries=QUICK) as client:
        made = client.create_webhook(f"{TARGET}/lost", ["batch.ended"])
        line.plan = ["lose"]
        client.delete_webhook(made["id"])
        with pytest.raises(Problem) as refused:
            client.delete_webhook(made["id"])

    assert refused.value.status == 404


@pytest.mark.parametrize("status", [429, 502, 503, 504])
def test_it_gives_up_in_the_end(service: tuple[str, str], status: int) -> None:
    with (
        Line(service[0], *[status] * 9) as line,
        Client(line.url, service[1], retries=QUICK) as client,
        pytest.raises(Problem) as refused,
    ):
        client.editions()

    assert (refused.value.status, refused.value.attempts, len(line.keys)) == (status, 4, 4)


@pytest.mark.parametrize("status", [302, 400, 404, 500])
def test_what_does_not_pass_is_not_sent_again(service: tuple[str, str], status: int) -> None:
    with (
        Line(service[0], status) as line,
        Client(line.url, service[1], retries=QUICK) as client,
        pytest.raises(Problem) as refused,
    ):
        client.editions()

    assert (refused.value.status, len(line.keys)) == (status, 1)


def test_where_nothing_answers() -> None:
    with Client(TARGET, retries=QUICK) as client, pytest.raises(NoAnswer, match="does not answer"):
        client.live()
    with Client("nowhere", retries=QUICK) as client, pytest.raises(BadAddress):
        client.live()


def test_pauses_double_and_heed_the_service() -> None:
    retries = Retries(first_pause=1.0, longest_pause=10.0)

    assert 0.75 <= retries.pause(1, None) <= 1.25
    assert 3 <= retries.pause(3, "soon") <= 5
    assert retries.pause(1, "7") == 7
    assert retries.pause(9, "86400") == 10


def test_the_key_is_that_of_the_caller_and_not_of_a_netrc(
    service: tuple[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    netrc = tmp_path / "netrc"
    netrc.write_text("machine 127.0.0.1 login somebody password else\n", "utf-8")
    monkeypatch.setenv("NETRC", str(netrc))
    with Client(*service) as client:
        assert client.editions()
    with Client(service[0]) as client, pytest.raises(Problem) as refused:
        client.editions()

    assert refused.value.status == 401


def test_what_cannot_be_asked_for(client: Client) -> None:
    with pytest.raises(ValueError, match="address"):
        client.part("..")
    with pytest.raises(ValueError, match="create"):
        client.put_panel(ORDER, DESIGNATION, ELEVATOR)
    with pytest.raises(ValueError, match="JSON compliant"):
        client.rate({"format": float("nan")})
