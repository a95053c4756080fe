"""POST /v1/upgrade-plans: the plans of the library for the catalogue of the store, proved by rating what comes out."""

import json
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

from api import create_app
from api import upgrade_plans
from api.settings import Settings
from api.store import Put
from api.store import Store
from sccr import Catalogue
from sccr import rate
from sccr.upgrade import plan

from .asking import codes
from .asking import members
from .asking import problem
from .conftest import ROOT
from .conftest import Schemas
from .prepared import BREAKER
from .prepared import CONTACTOR

ADDRESS = "/v1/upgrade-plans"
LINE: dict[str, Any] = json.loads((ROOT / "fixtures" / "panels" / "whole_line.json").read_bytes())
PANEL: dict[str, Any] = {
    "format": "panel/1",
    "panel": {"designation": "AUG-05"},
    "supplies": [
        {
            "id": "MAINS",
            "voltage": "480Y/277 V",
            "system": "solidly_grounded_wye",
            "available_fault_current": "12 kA",
        }
    ],
    "components": [
        {"id": "-FC1", "part": "RYE-3P-15", "fed_from": "MAINS"},
        {"id": "-QA1", "kind": "contactor", "fed_from": "-FC1", "horsepower": "5 hp"},
        {"id": "-MA1", "kind": "motor", "fed_from": "-QA1", "location": "field"},
    ],
}


def contactor(part: str, current: str, **more: Any) -> dict[str, Any]:
    return {**CONTACTOR, "part": part, "short_circuit_ratings": [{"voltage": "480 V", "current": current}], **more}


PARTS = [
    BREAKER,
    contactor("MILLET-A", "18 kA", price="60.00"),
    contactor("MILLET-B", "25 kA", price="60.00", stock=3),
    contactor("MILLET-C", "18 kA", price="45.50"),
]


@pytest.fixture
def shop(desk: Store) -> Iterator[FlaskClient]:
    """A service whose catalogue has three contactors that would do."""
    desk.apply_changes([Put(part) for part in PARTS], "a test")
    yield create_app(Settings(), desk).test_client()


def only(told: dict[str, Any]) -> dict[str, Any]:
    (found,) = told["plans"]
    assert isinstance(found, dict)
    return found


def swaps(found: dict[str, Any] | None) -> dict[str, str]:
    assert found is not None
    return {change["component"]: change["after"] for change in found["changes"]}


def test_the_line_of_the_demo_goes_to_65_ka_as_the_library_plans_it(
    client: FlaskClient, catalogue: Catalogue, schemas: Schemas
) -> None:
    told = members(client.post(f"{ADDRESS}?target=65%20kA", json=LINE))
    found, expected = only(told), plan(LINE, catalogue, 65_000_000)

    assert schemas.faults("UpgradePlans", told) == []
    assert found["proved_optimal"] is True and expected.best is not None
    assert found["best"]["cost"] == f"{expected.best.cost:f}"
    rated = rate(found["best"]["document"], catalogue)
    assert rated.rating is not None and rated.rating.current >= 65_000_000
    before = rate(LINE, catalogue)
    assert before.rating is not None and told["rating"] == json.loads(json.dumps(before.rating.as_dict()))


def test_the_cheapest_is_proved_and_the_next_best_follow(shop: FlaskClient) -> None:
    """Unmarked, 5 hp: 5 kA (Table SB4.1); 12 kA are available. 45.50 is the least price that covers them."""
    told = members(shop.post(ADDRESS, json=PANEL))
    found = only(told)

    assert told["rating"]["current"] == "5 kA" and found["target"]["current"] == "12 kA"
    assert swaps(found["best"]) == {"-QA1": "MILLET-C"} and found["best"]["cost"] == "45.50"
    assert found["proved_optimal"] is True and found["gap"] == "0.0000"
    assert [other["cost"] for other in found["alternatives"]] == ["60.00", "60.00"]


def test_parts_on_hand_come_first_between_equal_prices_unless_that_is_not_wanted(shop: FlaskClient) -> None:
    query = f"{ADDRESS}?objective=changes&alternatives=0"
    told = members(shop.post(query, json=PANEL))
    assert swaps(only(told)["best"]) == {"-QA1": "MILLET-B"}
    assert only(told)["best"]["changes"][0]["on_hand"] is True

    unasked = members(shop.post(f"{query}&on_hand_first=false", json=PANEL))
    assert only(unasked)["best"]["cost"] == "1"
    assert only(unasked)["best"]["changes"][0]["on_hand"] is False


@pytest.mark.parametrize(("objective", "cost"), [("price", "45.50"), ("changes", "1"), ("labour", "0.5")])
def test_objectives(shop: FlaskClient, objective: str, cost: str) -> None:
    found = only(members(shop.post(f"{ADDRESS}?objective={objective}", json=PANEL)))
    assert (found["objective"], float(found["best"]["cost"])) == (objective, float(cost))


def test_the_staircase_has_a_plan_for_each_step_and_for_the_target(shop: FlaskClient, schemas: Schemas) -> None:
    told = members(shop.post(f"{ADDRESS}?staircase=true&target=18%20kA", json=PANEL))
    steps = {each["target"]["current"]: each for each in told["plans"]}

    assert list(steps) == ["18 kA", "22 kA", "35 kA", "65 kA", "100 kA"]
    assert swaps(steps["18 kA"]["best"]) == {"-QA1": "MILLET-C"}
    assert swaps(steps["22 kA"]["best"]) == {"-QA1": "MILLET-B"}
    assert steps["35 kA"]["best"] is None and steps["22 kA"]["alternatives"] == []
    assert schemas.faults("UpgradePlans", told) == []


def test_a_target_out_of_reach_names_what_blocks_it(shop: FlaskClient) -> None:
    found = only(members(shop.post(f"{ADDRESS}?target=65%20kA", json=PANEL)))

    assert (found["best"], found["proved_optimal"]) == (None, True)
    blocked = {block["component"]: block["reason"] for block in found["blocked"]}
    assert blocked.keys() == {"-FC1", "-QA1"}
    assert all("65 kA" in reason for reason in blocked.values())


def test_an_older_version_of_the_catalogue_may_be_named(shop: FlaskClient, desk: Store) -> None:
    desk.apply_changes([Put(contactor("MILLET-D", "18 kA", price="9.00"))], "a test")
    newest, older = (members(shop.post(ADDRESS + query, json=PANEL)) for query in ("", "?version=1"))

    assert (swaps(only(newest)["best"]), newest["catalogue_version"]) == ({"-QA1": "MILLET-D"}, 2)
    assert (swaps(only(older)["best"]), older["catalogue_version"]) == ({"-QA1": "MILLET-C"}, 1)
    problem(shop.post(f"{ADDRESS}?version=9", json=PANEL), 404, "not-found")


def test_without_a_catalogue_everything_is_lacking(desk: Store, schemas: Schemas) -> None:
    panel = {**PANEL, "components": [{**PANEL["components"][1], "fed_from": "MAINS"}, PANEL["components"][2]]}
    panel["components"] = [
        {"id": "-FC1", "kind": "circuit_breaker", "fed_from": "MAINS", "poles": 3},
        *panel["components"],
    ]
    told = members(create_app(Settings(), desk).test_client().post(ADDRESS, json=panel))

    assert told["catalogue_version"] is None and only(told)["best"] is None and only(told)["blocked"]
    assert schemas.faults("UpgradePlans", told) == []


def test_without_a_target_there_is_nothing_to_plan_for(shop: FlaskClient) -> None:
    supply = {name: value for name, value in PANEL["supplies"][0].items() if name != "available_fault_current"}
    told = problem(shop.post(ADDRESS, json={**PANEL, "supplies": [supply]}), 422, "invalid-document")
    assert codes(told) == [("/target", "required")]

    own = members(shop.post(ADDRESS, json={**PANEL, "supplies": [supply], "target": "15 kA"}))
    assert only(own)["target"]["current"] == "15 kA"


def test_everything_wrong_is_told_at_once_each_at_its_place(shop: FlaskClient) -> None:
    wrong = {**PANEL, "target": 65, "components": [{**PANEL["components"][0], "fed_from": "-FC9"}, {"id": "-QA1"}]}
    told = problem(shop.post(ADDRESS, json=wrong), 422, "invalid-document")
    assert {pointer for pointer, _ in codes(told)} >= {"/target", "/components/0/fed_from", "/components/1/kind"}
    unknown = {**PANEL, "components": [{**PANEL["components"][0], "part": "RYE-3P-16"}]}
    told = problem(shop.post(ADDRESS, json=unknown), 422, "invalid-document")
    assert "RYE-3P-15" in told["errors"][0]["detail"]


@pytest.mark.parametrize(
    "query",
    [
        *("target=65", "target=65%20V", "objective=cheap", "alternatives=11", "staircase=yes", "seconds=0"),
        *("seconds=3601", "on_hand=true", "version=x"),
    ],
)
def test_wrong_parameters(shop: FlaskClient, query: str) -> None:
    told = problem(shop.post(f"{ADDRESS}?{query}", json=PANEL), 400, "invalid-parameter")
    assert [error["pointer"] for error in told["errors"]] == [f"/query/{query.partition('=')[0]}"]


def test_prices_that_cannot_be_added_are_told(desk: Store) -> None:
    desk.apply_changes([Put(BREAKER), Put(contactor("MILLET-A", "18 kA", price="999999999999.000001"))], "a test")
    client = create_app(Settings(), desk).test_client()
    told = problem(client.post(ADDRESS, json=PANEL), 422, "invalid-document")
    assert [code for _, code in codes(told)] == ["prices-not-exact"]
    assert swaps(only(members(client.post(f"{ADDRESS}?objective=changes", json=PANEL)))["best"])


def test_the_service_bounds_the_time_that_is_asked_for(desk: Store) -> None:
    desk.apply_changes([Put(part) for part in PARTS], "a test")
    client = create_app(Settings(work_seconds=10), desk).test_client()

    assert members(client.post(f"{ADDRESS}?seconds=3600", json=PANEL))["seconds"] == 6
    assert members(client.post(f"{ADDRESS}?seconds=2", json=PANEL))["seconds"] == 2


def test_what_was_not_found_in_the_time_is_not_said_to_be_out_of_reach(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch, schemas: Schemas
) -> None:
    monkeypatch.setattr(upgrade_plans, "_SHARE", 0.0001)
    told = members(client.post(f"{ADDRESS}?target=65%20kA", json=LINE))
    found = only(told)

    assert (found["best"], found["proved_optimal"], found["blocked"]) == (None, False, [])
    assert schemas.faults("UpgradePlans", told) == []


def test_a_key_is_honoured(shop: FlaskClient) -> None:
    first, again = (shop.post(ADDRESS, json=PANEL, headers={"Idempotency-Key": "one"}) for _ in range(2))
    assert (first.data, again.headers["Idempotent-Replayed"]) == (again.data, "true")


def test_the_solver_is_imported_when_a_plan_is_first_asked_for() -> None:
    program = (
        "import sys, json; from api import create_app; client = create_app().test_client(); "
        "client.post('/v1/ratings', json={}); client.post('/v1/selections', json={}); "
        "before = 'highspy' in sys.modules; client.post('/v1/upgrade-plans', json={}); "
        "print(before, 'highspy' in sys.modules)"
    )
    found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT)
    assert found.stdout.split() == ["False", "True"]
