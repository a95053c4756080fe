"""The client before and after a rating, against the service as it is served."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from api.client import Client
from api.client import Problem
from api.client import Retries

from .conftest import CATALOGUE
from .conftest import ROOT
from .running import running


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    database = f"sqlite:///{tmp_path_factory.mktemp('planning') / 'desk.db'}"
    settings = {"catalogue": CATALOGUE, "workers": 1, "threads": 2, "work_processes": 0}
    with running(database, **settings) as url, Client(url, retries=Retries(attempts=1)) as made:
        yield made


def demo(name: str) -> dict[str, Any]:
    document = json.loads(Path(ROOT / "fixtures" / f"{name}.json").read_bytes())
    assert isinstance(document, dict)
    return document


def test_from_the_site_to_the_fault_current_of_a_panel(client: Client) -> None:
    found = client.fault_current(demo("sites/elevator_house"), date="2026-03-31")

    assert found["document"] is not None and found["document"]["date"] == "2026-03-31"
    assert found["available_fault_current"] == found["document"]["available_fault_current"]


def test_devices_for_a_circuit(client: Client) -> None:
    found = client.select(demo("circuits/elevator_leg_motor"), limit=2, version=1)

    assert len(found["suitable"]) == len(found["near_misses"]) == 2
    assert found["catalogue_version"] == 1


def test_plans_for_a_panel(client: Client) -> None:
    panel = demo("panels/whole_line")
    one = client.upgrade_plans(panel, target="14 kA", objective="changes", alternatives=0, seconds=5)
    (found,) = one["plans"]
    steps = client.upgrade_plans(panel, staircase=True, on_hand_first=False)["plans"]

    assert found["best"] is not None and found["best"]["cost"] == "1" and found["alternatives"] == []
    assert [step["target"]["current"] for step in steps] == ["22 kA", "35 kA", "65 kA", "100 kA"]
    assert client.rate(found["best"]["document"])["rating"]["current"] == "14 kA"


def test_a_refusal_says_what_is_wrong_and_where(client: Client) -> None:
    with pytest.raises(Problem) as refused:
        client.fault_current({"utility": {"available": "500", "voltage": "13.8 kV"}})
    assert refused.value.slug == "invalid-document"
    assert [error["pointer"] for error in refused.value.errors] == ["/utility/available"]
