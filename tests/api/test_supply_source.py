"""The source of a supply over HTTP: its contract, its answer, and its mistakes."""

import copy
import json
from typing import Any

import pytest
import yaml
from flask.testing import FlaskClient

from sccr import InvalidDocument
from sccr import load_panel
from sccr.fault_current.tables import tables
from sccr.schema.site.document import SiteSchema
from sccr.schema.site.elements import ConductorSchema
from sccr.schema.site.elements import ElementSchema
from sccr.schema.site.elements import MotorsSchema
from sccr.schema.site.elements import TransformerSchema
from sccr.schema.site.elements import UtilitySchema
from sccr.schema.strict_schema import StrictSchema

from .conftest import ROOT
from .conftest import Schemas

SCHEMAS: dict[str, Any] = yaml.safe_load((ROOT / "openapi.yaml").read_text("utf-8"))["components"]["schemas"]
PIT: dict[str, Any] = json.loads((ROOT / "fixtures/panels/computed_source.json").read_text("utf-8"))
AT = "/supplies/0/source"


@pytest.fixture
def pit() -> dict[str, Any]:
    return copy.deepcopy(PIT)


def put(document: dict[str, Any], pointer: str, value: Any) -> None:
    *path, name = pointer.split("/")[1:]
    place: Any = document["supplies"][0]["source"]
    for token in path:
        place = place[int(token)] if isinstance(place, list) else place[token]
    place[name] = value


@pytest.mark.parametrize(
    ("name", "schema"),
    [
        ("SiteDocument", SiteSchema()),
        ("SiteUtility", UtilitySchema()),
        ("SiteTransformer", TransformerSchema()),
        ("SiteConductor", ConductorSchema()),
        ("SiteMotors", MotorsSchema()),
    ],
)
def test_the_fields_are_those_that_are_read(name: str, schema: StrictSchema) -> None:
    assert SCHEMAS[name]["properties"].keys() == schema.load_fields.keys()
    assert set(SCHEMAS[name].get("required", ())) == {n for n, f in schema.load_fields.items() if f.required}


def test_the_fields_of_an_element_are_those_that_are_read() -> None:
    assert SCHEMAS["SiteElements"]["items"]["properties"].keys() == ElementSchema().load_fields.keys()
    assert SCHEMAS["SiteMotors"]["properties"]["group"]["enum"] == list(tables().motor_groups)


def test_a_computed_current_is_answered_with_where_it_comes_from(
    client: FlaskClient, schemas: Schemas, pit: dict[str, Any]
) -> None:
    response = client.post("/v1/ratings", json=pit)
    answer = json.loads(response.data)
    available = answer["supplies"][0]["available_fault_current"]

    assert response.status_code == 200 and schemas.faults("Rating", answer) == []
    assert (available["basis"], available["method"], available["current"]) == ("computed", "ohmic", "9.527 kA")
    assert round(available["x_over_r"], 2) == 2.15
    assert available["record"]["format"] == "fault-current-record/1"
    assert available["record"]["date"] == "2026-04-02"


def test_every_state_and_an_infinite_bus_are_of_the_schema(
    client: FlaskClient, schemas: Schemas, pit: dict[str, Any]
) -> None:
    source = pit["supplies"][0]["source"]
    source["alternates"] = [
        {"utility": {"available": "infinite", "voltage": "13.8 kV"}, "elements": source["elements"]}
    ]
    source["method"] = "iec_60909"
    pit["supplies"][0]["available_fault_current"] = "9 kA"

    assert schemas.faults("PanelDocument", pit) == []
    assert schemas.faults("Rating", json.loads(client.post("/v1/ratings", json=pit).data)) == []


def test_everything_that_is_wrong_is_told_at_once(client: FlaskClient, pit: dict[str, Any]) -> None:
    put(pit, "/utility/available", "250")
    put(pit, "/elements/0/transformer/kva", "500 kA")
    put(pit, "/elements/2/conductor/lenght", "60 ft")
    del pit["supplies"][0]["source"]["elements"][3]["conductor"]["material"]
    response = client.post("/v1/ratings", data=json.dumps(pit), content_type="application/json")

    assert response.status_code == 422
    assert [error["pointer"] for error in json.loads(response.data)["errors"]] == [
        f"{AT}/utility/available",
        f"{AT}/elements/0/transformer/kva",
        f"{AT}/elements/2/conductor/lenght",
        f"{AT}/elements/3/conductor/material",
    ]


MISTAKES: dict[str, tuple[str, Any]] = {
    "a misspelt field": ("/utility/x_to_r", 10),
    "a bare number": ("/utility/available", 250),
    "a ratio as text": ("/utility/x_over_r", "10"),
    "a ratio of nothing": ("/utility/x_over_r", 0),
    "an unknown method": ("/method", "iec"),
    "a unit that is none": ("/utility/available", "250 MW"),
    "no percentage": ("/elements/0/transformer/impedance", "0.05"),
    "a material that is none": ("/elements/2/conductor/material", "silver"),
    "a length without a unit": ("/elements/2/conductor/length", "60"),
    "degrees of another kind": ("/elements/2/conductor/temperature", "77 °F"),
    "sets of nothing": ("/elements/2/conductor/sets", 0),
    "two things in one element": ("/elements/1/conductor", PIT["supplies"][0]["source"]["elements"][2]["conductor"]),
    "an element of nothing": ("/elements", [{}]),
    "null": ("/title", None),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_refused_by_schema_and_service_alike(schemas: Schemas, pit: dict[str, Any], name: str) -> None:
    load_panel(pit)
    assert schemas.faults("PanelDocument", pit) == []
    put(pit, *MISTAKES[name])
    assert schemas.faults("PanelDocument", pit)
    with pytest.raises(InvalidDocument):
        load_panel(pit)
