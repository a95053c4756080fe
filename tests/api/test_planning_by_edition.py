"""Papers, choices and plans by another edition, as the service answers them and its contract has them."""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

from api import create_app
from api.settings import Settings
from api.store import Put
from api.store import Store
from api.stored_ratings import rating_of
from sccr import rate
from tests.nameplate.plates import assembly
from tests.nameplate.plates import canadian
from tests.nameplate.plates import plate_of
from tests.nameplate.plates import protected_assembly

from .asking import NEW
from .asking import codes
from .asking import members
from .asking import problem
from .conftest import Schemas

IEC = "IEC 61439-2:2020"
BRANCH = {"kind": "circuit_breaker", "poles": 3, "ampere_rating": "25 A", "standards": ["IEC 60947-2"]}
CIRCUIT: dict[str, Any] = {
    "format": "circuit/1",
    "voltage": "230/400 V",
    "system": "solidly_grounded_wye",
    "load": {"heater": {"kw": "13 kW"}},
    "available_fault_current": "20 kA",
    "edition": IEC,
    "options": {"skilled_persons_only": True},
}


def breaker(part: str, current: str, price: str) -> dict[str, Any]:
    capacity = [{"voltage": "400 V", "current": current, "kind": "icu"}]
    return {**BRANCH, "part": part, "price": price, "breaking_capacities": capacity}


def contactor(part: str, current: str, price: str) -> dict[str, Any]:
    behind = {"device": "circuit_breaker", "max_ampere_rating": "32 A"}
    tested = [{"voltage": "400 V", "current": current, "protected_by": behind}]
    return {"part": part, "kind": "contactor", "price": price, "ampere_rating": "25 A", "conditional_ratings": tested}


@pytest.fixture
def shop(desk: Store) -> Iterator[FlaskClient]:
    """A service whose catalogue has breakers and contactors rated by IEC."""
    parts = [
        breaker("SORGHUM-25", "25 kA", "60"),
        breaker("SORGHUM-10", "10 kA", "20"),
        contactor("TEFF", "25 kA", "9"),
    ]
    desk.apply_changes([Put(part) for part in parts], "a test")
    yield create_app(Settings(), desk).test_client()


@pytest.mark.parametrize("document", [assembly(), protected_assembly(), canadian()], ids=["Icw", "Icc", "CSA"])
def test_a_rating_is_read_back_from_the_store_as_it_was(document: dict[str, Any]) -> None:
    """With its symbol, its duration and its peak, else its papers would be of another rating."""
    rating = rate(document)
    stored = json.loads(json.dumps(rating.as_dict()))

    assert rating_of(stored) == rating
    assert rating_of(stored).as_dict() == rating.as_dict()


@pytest.mark.parametrize("document", [assembly(), protected_assembly(), canadian()], ids=["Icw", "Icc", "CSA"])
def test_a_nameplate_is_as_the_contract_has_it(document: dict[str, Any], schemas: Schemas) -> None:
    assert schemas.faults("Nameplate", plate_of(document).as_dict()) == []


def test_the_papers_of_a_stored_assembly_follow_its_edition(shop: FlaskClient, schemas: Schemas) -> None:
    place = "/v1/orders/TO-9/panels/SILO-8"
    members(shop.put(place, json=assembly(), headers=NEW), 201)
    told = members(shop.get(f"{place}/nameplate", headers={"Accept": "application/json"}))
    report = shop.get(f"{place}/report?format=html").get_data(as_text=True)

    assert schemas.faults("Nameplate", told) == []
    assert told["edition"] == IEC and told["rating"]["text"] == "Icw 10 kA (1 s), Ipk 17 kA, 400 V"
    assert "Short-circuit withstand strength of the assembly" in report and "[clause from memory]" in report


def test_a_choice_by_iec(shop: FlaskClient, schemas: Schemas) -> None:
    told = members(shop.post("/v1/selections", json=CIRCUIT))

    assert schemas.faults("CircuitDocument", CIRCUIT) == []
    assert schemas.faults("Selection", told) == []
    assert [device["part"] for device in told["suitable"]] == ["SORGHUM-25"]
    assert told["suitable"][0]["interrupting_rating"] == {
        "current": "25 kA",
        "current_amperes": 25_000,
        "voltage": "400 V",
    }
    assert told["method"]["edition"] == IEC


def test_an_unknown_edition_of_a_choice_is_named(shop: FlaskClient) -> None:
    told = problem(
        shop.post("/v1/selections", json={**CIRCUIT, "edition": "IEC 61439-2:2021"}), 422, "invalid-document"
    )

    assert codes(told) == [("/edition", "unknown-edition")]


def test_a_plan_by_iec_is_proved_by_rating(shop: FlaskClient, schemas: Schemas) -> None:
    """Without its switch the panel is held by its contactor alone, at 10 kA; its breaker breaks 25 kA."""
    document = protected_assembly()
    document["components"] = [{**c, "fed_from": "S"} if c["id"] == "FC1" else c for c in document["components"][1:]]
    told = members(shop.post("/v1/upgrade-plans?target=25%20kA", json=document))
    (found,) = told["plans"]

    assert schemas.faults("UpgradePlans", told) == []
    assert found["proved_optimal"] is True and found["best"]["cost"] == "9"
    assert [change["after"] for change in found["best"]["changes"]] == ["TEFF"]
    assert found["best"]["rating"]["designation"] == "Icc"
    assert told["method"]["edition"] == IEC and found["best"]["document"]["edition"] == IEC


def test_a_plan_for_one_of_several_editions_names_it(shop: FlaskClient) -> None:
    several = {**assembly(), "editions": [IEC, "UL 508A:2018"]}
    del several["edition"]
    refused = problem(shop.post("/v1/upgrade-plans?target=10%20kA", json=several), 422, "invalid-document")
    told = members(shop.post(f"/v1/upgrade-plans?target=10%20kA&edition={IEC}", json=several))

    assert codes(refused) == [("/editions", "several-editions")]
    (found,) = told["plans"]
    assert found["best"]["changes"] == [] and told["method"]["edition"] == IEC
    assert rate(found["best"]["document"]).rating is not None
    problem(shop.post("/v1/upgrade-plans?target=10%20kA&edition=IEC", json=several), 400, "invalid-parameter")
