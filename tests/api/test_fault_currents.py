"""POST /v1/fault-currents: what the library calculates, its dated record, and a refusal of everything else."""

import json
from datetime import UTC
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from api import create_app
from api.access import Role
from api.access import new_key
from api.settings import Settings
from api.store import Store
from sccr.fault_current import fault_current
from sccr.fault_current import record
from sccr.schema.site import load_site

from .asking import codes
from .asking import members
from .asking import problem
from .conftest import ROOT
from .conftest import Schemas

SITES = sorted((ROOT / "fixtures" / "sites").glob("*.json"))
ADDRESS = "/v1/fault-currents"
HOUSE: dict[str, Any] = json.loads((ROOT / "fixtures" / "sites" / "elevator_house.json").read_bytes())


@pytest.mark.parametrize("site", SITES, ids=lambda path: path.stem)
def test_each_demo_site_is_calculated_as_the_library_does(client: FlaskClient, schemas: Schemas, site: Path) -> None:
    told = members(client.post(f"{ADDRESS}?date=2026-03-31", data=site.read_bytes(), content_type="application/json"))
    document = json.loads(site.read_bytes())
    found = fault_current(load_site(document))

    assert schemas.faults("SiteDocument", document) == []
    assert schemas.faults("FaultCurrent", told) == []
    filed = told.pop("document")
    assert told == json.loads(json.dumps(found.as_dict()))
    assert filed == json.loads(json.dumps(record(found, "2026-03-31", document)))


def test_the_record_is_dated_today_where_no_date_is_said(client: FlaskClient) -> None:
    before = datetime.now(UTC).date().isoformat()
    told = members(client.post(ADDRESS, json=HOUSE))

    assert before <= told["document"]["date"] <= datetime.now(UTC).date().isoformat()
    assert load_site(told["document"]["site"]).document_digest == told["document_digest"]


def test_every_node_has_most_and_least_peak_x_over_r_and_the_cross_check(client: FlaskClient) -> None:
    told = members(client.post(ADDRESS, json=HOUSE))
    assert [node["bus"] for node in told["nodes"]] == [
        *("service", "main switchboard", "distribution board", "panel terminals")
    ]
    for node in told["nodes"]:
        least = {value["fault"]: value for value in node["minimum"]}
        for value in node["maximum"]:
            most = value["rms_symmetrical"]["current_amperes"]
            assert least[value["fault"]]["rms_symmetrical"]["current_amperes"] <= most
            assert most <= value["rms_asymmetrical"]["current_amperes"] < value["peak"]["current_amperes"] < 2.9 * most
        assert node["point_to_point"]["current_amperes"] > 0
    assert {state["name"] for state in told["states"]} == {"as described", "standby generator"}


def test_iec_60909_where_the_document_asks_for_it(client: FlaskClient) -> None:
    """c = 1.05 raises the maximum (IEC 60909-0); the scalar figure has no place in it."""
    site = {**HOUSE, "method": "iec_60909", "voltage_tolerance": "6 %"}
    ohmic, iec = (members(client.post(ADDRESS, json=each)) for each in (HOUSE, site))

    assert iec["method"]["method"] == "iec_60909"
    assert iec["available_fault_current"] != ohmic["available_fault_current"]
    assert {node["point_to_point"] for node in iec["nodes"]} == {None}


def test_without_a_current_to_rely_on_there_is_no_record(client: FlaskClient, schemas: Schemas) -> None:
    told = members(client.post(ADDRESS, json={"utility": {"available": "infinite", "voltage": "480Y/277 V"}}))

    assert told["available_fault_current"] is None and told["document"] is None
    assert "no-impedance" in {finding["code"] for finding in told["findings"] if finding["severity"] == "error"}
    assert schemas.faults("FaultCurrent", told) == []


def test_everything_wrong_is_told_at_once_each_at_its_place(client: FlaskClient) -> None:
    site = {
        "utility": {"available": 500, "voltage": "13.8 kV", "x_over_r": "10"},
        "elements": [
            {"transformer": {"kva": "1000 kVA", "primary": "13.8 kV", "secondary": "480Y/277 V", "impedance": "5.75"}},
            {"conductor": {"size": "500", "material": "copper", "length": "164"}},
        ],
        "methode": "ohmic",
    }
    told = problem(client.post(ADDRESS, json=site), 422, "invalid-document")

    assert {pointer for pointer, _ in codes(told)} == {
        *("/utility/available", "/utility/x_over_r", "/elements/0/transformer/impedance"),
        *("/elements/1/conductor/size", "/elements/1/conductor/length", "/methode"),
    }


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("date=31.3.2026", "not-a-date"),
        ("date=2026-02-30", "not-a-date"),
        ("date=20260331", "not-a-date"),
        ("dat=2026-03-31", "unknown-parameter"),
    ],
)
def test_wrong_parameters(client: FlaskClient, query: str, code: str) -> None:
    told = problem(client.post(f"{ADDRESS}?{query}", json=HOUSE), 400, "invalid-parameter")
    assert [error["code"] for error in told["errors"]] == [code]


def test_other_forms_are_refused(client: FlaskClient) -> None:
    problem(client.post(ADDRESS, data=b"{", content_type="application/json"), 400, "malformed-json")
    problem(client.post(ADDRESS, json=[]), 422, "invalid-document")
    problem(client.post(ADDRESS, data=b"{}", content_type="text/csv"), 415, "unsupported-media-type")
    problem(client.post(ADDRESS, json=HOUSE, headers={"Accept": "text/html"}), 406, "not-acceptable")
    problem(client.get(ADDRESS), 405, "method-not-allowed")


def test_a_tag_names_the_answer_and_the_date_is_part_of_it(client: FlaskClient) -> None:
    tags = [client.post(f"{ADDRESS}?date={day}", json=HOUSE).headers["ETag"] for day in ("2026-03-31", "2026-04-01")]
    assert tags[0] == client.post(f"{ADDRESS}?date=2026-03-31", json=HOUSE).headers["ETag"]
    assert tags[0] != tags[1]


def test_a_key_is_honoured_and_an_answer_is_repeated(own: FlaskClient) -> None:
    first, again = (own.post(ADDRESS, json=HOUSE, headers={"Idempotency-Key": "one"}) for _ in range(2))
    assert (first.data, again.headers["Idempotent-Replayed"]) == (again.data, "true")
    other = own.post(ADDRESS, json={**HOUSE, "title": "other"}, headers={"Idempotency-Key": "one"})
    problem(other, 422, "idempotency-key-reused")


@pytest.mark.parametrize("address", [ADDRESS, "/v1/selections", "/v1/upgrade-plans"])
def test_it_asks_for_the_role_that_rates(desk: Store, address: str) -> None:
    keys = {role: new_key(role) for role in (Role.READ, Role.RATE)}
    for key in keys.values():
        desk.add_key(key.prefix, key.hash, key.role.label, "a caller")
    client = create_app(Settings(), desk).test_client()
    problem(client.post(address, json={}), 401, "unauthorized")
    answers = {
        role: client.post(address, json={}, headers={"Authorization": f"Bearer {key.text}"})
        for role, key in keys.items()
    }
    problem(answers[Role.READ], 403, "forbidden")
    problem(answers[Role.RATE], 422, "invalid-document")


def test_it_is_stopped_when_its_time_is_up(desk: Store) -> None:
    """Each figure that is stated is held against the chain without each run before it."""
    run = {"length": "1 m", "material": "copper", "size": "2 AWG"}
    site = {**HOUSE, "elements": [{"conductor": run, "stated": f"{9000 + n} A"} for n in range(100)]}
    del site["alternates"]
    client = create_app(Settings(work_seconds=0.1), desk).test_client()
    problem(client.post(ADDRESS, json=site), 503, "out-of-time")
