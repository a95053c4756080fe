"""POST /v1/selections: what the library chooses from the catalogue of the store, whatever its size."""

import json
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from api import create_app
from api.settings import Settings
from api.store import Put
from api.store import Store
from api.store import open_store
from sccr import Catalogue
from sccr.schema.circuit import load_circuit
from sccr.selection import select
from sccr.selection.checks import CHECKS
from sccr.selection.circuit import MotorType
from sccr.selection.circuit import TransformerProtection
from sccr.selection.requirement import TYPES
from sccr.selection.tables import tables

from .asking import NEW
from .asking import codes
from .asking import members
from .asking import problem
from .conftest import ROOT
from .conftest import Schemas

CIRCUITS = sorted((ROOT / "fixtures" / "circuits").glob("*.json"))
ADDRESS = "/v1/selections"
LEG: dict[str, Any] = json.loads((ROOT / "fixtures" / "circuits" / "elevator_leg_motor.json").read_bytes())


def own_parts_of(answer: dict[str, Any]) -> list[str]:
    return [device["part"] for device in answer["suitable"]]


@pytest.mark.parametrize("circuit", CIRCUITS, ids=lambda path: path.stem)
def test_each_demo_circuit_is_chosen_for_as_the_library_does(
    client: FlaskClient, catalogue: Catalogue, schemas: Schemas, circuit: Path
) -> None:
    document = json.loads(circuit.read_bytes())
    told = members(client.post(f"{ADDRESS}?limit=200", json=document))
    expected = json.loads(json.dumps(select(load_circuit(document), catalogue, limit=200).as_dict()))

    assert schemas.faults("CircuitDocument", document) == []
    assert schemas.faults("Selection", told) == []
    assert told == {**expected, "limit": 200, "catalogue_version": 1}


def test_the_limit_cuts_the_lists_and_not_the_counts(client: FlaskClient) -> None:
    few, usual = (members(client.post(ADDRESS + query, json=LEG)) for query in ("?limit=2", ""))

    assert few["suitable"] == usual["suitable"][:2] and len(few["near_misses"]) == 2
    assert len(usual["near_misses"]) == usual["limit"] == 10
    assert few["counts"] == usual["counts"]


def test_the_newest_catalogue_counts_and_an_older_one_may_be_named(own: FlaskClient) -> None:
    part = {
        "part": "SPELT-3P-25",
        "kind": "circuit_breaker",
        "poles": 3,
        "ampere_rating": "17.5 A",
        "interrupting_ratings": [{"voltage": "480 V", "current": "25 kA"}],
        "standards": ["UL 489"],
    }
    wanted = {**LEG, "wanted": {"kinds": ["circuit_breaker"]}}
    before = members(own.post(ADDRESS, json=wanted))
    members(own.put("/v1/parts/SPELT-3P-25", json=part, headers=NEW), 201)
    after, old = (members(own.post(ADDRESS + query, json=wanted)) for query in ("", "?version=1"))

    assert own_parts_of(after)[0] == "SPELT-3P-25" and after["catalogue_version"] == 2
    assert old == before and old["catalogue_version"] == 1
    assert after["method"]["catalogue_digest"] == members(own.get("/v1/catalogue"))["digest"]
    problem(own.post(f"{ADDRESS}?version=3", json=wanted), 404, "not-found")


def test_without_a_catalogue_the_circuit_is_sized_all_the_same(desk: Store, schemas: Schemas) -> None:
    told = members(create_app(Settings(), desk).test_client().post(ADDRESS, json=LEG))

    assert told["requirement"]["full_load_current"]["current"] == "14 A"
    assert (told["suitable"], told["near_misses"], told["catalogue_version"]) == ([], [], None)
    assert told["method"]["catalogue_digest"] is None
    assert schemas.faults("Selection", told) == []


def test_a_circuit_that_cannot_be_sized_is_answered_with_what_is_missing(client: FlaskClient, schemas: Schemas) -> None:
    load = {"motor": {"horsepower": "10 hp", "voltage": "690 V"}}
    told = members(client.post(ADDRESS, json={**LEG, "load": load, "voltage": "690 V", "system": "ungrounded_delta"}))

    assert (told["status"], told["suitable"]) == ("not_sized", [])
    assert [finding["code"] for finding in told["findings"] if finding["severity"] == "error"] == [
        "full-load-current-unknown"
    ]
    assert schemas.faults("Selection", told) == []


def test_everything_wrong_is_told_at_once_each_at_its_place(client: FlaskClient) -> None:
    wrong = {
        **LEG,
        "load": {"motor": {"horsepower": 10, "code_letter": "I"}},
        "voltage": "480",
        "ambient": "50",
        "wanted": {"kinds": ["contactor"], "trip_curve": "E"},
    }
    told = problem(client.post(ADDRESS, json=wrong), 422, "invalid-document")

    assert {pointer for pointer, _ in codes(told)} == {
        *("/load/motor/horsepower", "/load/motor/code_letter", "/voltage", "/ambient"),
        *("/wanted/trip_curve",),
        *(pointer for pointer, _ in codes(told) if pointer.startswith("/wanted/kinds")),
    }


@pytest.mark.parametrize("query", ["limit=0", "limit=201", "limit=ten", "version=0", "limits=3"])
def test_wrong_parameters(client: FlaskClient, query: str) -> None:
    problem(client.post(f"{ADDRESS}?{query}", json=LEG), 400, "invalid-parameter")


def test_a_tag_names_the_answer(client: FlaskClient) -> None:
    tags = [client.post(ADDRESS + query, json=LEG).headers["ETag"] for query in ("", "", "?limit=3")]
    assert tags[0] == tags[1] != tags[2]


def test_a_key_is_honoured(own: FlaskClient) -> None:
    first, again = (own.post(ADDRESS, json=LEG, headers={"Idempotency-Key": "one"}) for _ in range(2))
    assert (first.data, again.headers["Idempotent-Replayed"]) == (again.data, "true")


def breakers(count: int) -> Iterator[dict[str, Any]]:
    """Invented breakers of all sizes, every third with three poles."""
    for number in range(count):
        yield {
            "part": f"SPELT-{number:05d}",
            "kind": "circuit_breaker",
            "poles": number % 3 + 1,
            "ampere_rating": f"{number % 100 + 1} A",
            "interrupting_ratings": [
                {"voltage": "480Y/277 V", "current": f"{number % 60 + 5} kA"},
                {"voltage": "240 V", "current": "65 kA"},
            ],
            "standards": ["UL 489"],
            "mounting": "DIN rail",
            "trip_curve": "D",
        }


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A store with 6,000 breakers, and as many terminals that no choice looks at."""
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('large') / 'large.db'}")
    store.migrate()
    parts = [*breakers(6_000), *({"part": f"CHAFF-{number}", "kind": "terminal_block"} for number in range(6_000))]
    store.apply_changes([Put(part) for part in parts], "a test")
    with closing(store):
        yield store


@pytest.fixture
def large(many: Store) -> FlaskClient:
    return create_app(Settings(), many).test_client()


def test_a_large_catalogue_gives_the_verdict_of_the_library(large: FlaskClient) -> None:
    document = {**LEG, "available_fault_current": "30 kA"}
    told = members(large.post(f"{ADDRESS}?limit=5", json=document))
    whole = Catalogue.from_document({"format": "catalogue/1", "parts": list(breakers(6_000))})
    expected = select(load_circuit(document), whole, limit=5).as_dict()

    assert told["counts"] == expected["counts"] and sum(told["counts"].values()) == 6_000
    assert (told["suitable"], told["near_misses"]) == (expected["suitable"], expected["near_misses"])


def test_the_parts_of_a_version_are_read_once(large: FlaskClient, many: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []
    search = many.search
    monkeypatch.setattr(many, "search", lambda *query: (asked.append(query), search(*query))[1])

    def pages_read(document: dict[str, Any]) -> int:
        before = len(asked)
        members(large.post(ADDRESS, json=document))
        return len(asked) - before

    part = {"part": "CHAFF-X", "kind": "terminal_block"}
    assert large.put("/v1/parts/CHAFF-X", json=part, headers=NEW).status_code == 201
    assert pages_read(LEG) > 6  # of a version that nobody asked for before
    assert pages_read({**LEG, "designation": "-FC12"}) == 0
    assert large.delete("/v1/parts/CHAFF-X", headers={"If-Match": "*"}).status_code == 204


def test_it_is_stopped_when_its_time_is_up(many: Store) -> None:
    client = create_app(Settings(work_seconds=0.0), many).test_client()
    assert client.post(ADDRESS, json=LEG).status_code == 503


class TestTheWordsOfTheContract:
    """What the contract enumerates for a circuit is what the library knows."""

    @staticmethod
    def enumerated(contract: dict[str, Any], name: str, *path: str) -> list[str]:
        place = contract["components"]["schemas"][name]
        for step in path:
            place = place[step]
        found = place["enum"]
        assert isinstance(found, list)
        return found

    def test_wishes(self, contract: dict[str, Any]) -> None:
        wanted = ("properties", "wanted", "properties")
        accessories = self.enumerated(contract, "CircuitDocument", *wanted, "accessories", "items")
        assert set(accessories) == set(tables().accessories)
        assert set(self.enumerated(contract, "CircuitDocument", *wanted, "trip_curve")) == set(tables().curves)

    def test_motors_and_transformers(self, contract: dict[str, Any]) -> None:
        motor = self.enumerated(contract, "CircuitMotor", "properties", "type")
        assert motor == [each.value for each in MotorType]
        letters = self.enumerated(contract, "CircuitMotor", "properties", "code_letter")
        assert letters == [*tables().code_letters]
        protection = ("properties", "transformer", "properties", "protection")
        assert self.enumerated(contract, "CircuitLoad", *protection) == [each.value for each in TransformerProtection]

    def test_checks_and_types(self, contract: dict[str, Any]) -> None:
        assert self.enumerated(contract, "DeviceCheck", "properties", "check") == [*CHECKS]
        ratings = ("properties", "requirement", "properties", "ampere_ratings", "items", "properties", "device")
        assert self.enumerated(contract, "Selection", *ratings) == [*TYPES]
