"""Whether the service lives, and whether it can rate."""

import json

import pytest
from flask.testing import FlaskClient

import sccr
from api import create_app
from sccr.ul508a.rule_set import UL508A


def test_it_lives(client: FlaskClient) -> None:
    response = client.get("/health/live")
    assert (response.status_code, json.loads(response.data)) == (200, {"status": "pass", "version": sccr.__version__})
    assert response.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("with_catalogue", [True, False])
def test_it_is_ready_with_and_without_a_catalogue(client: FlaskClient, with_catalogue: bool) -> None:
    response = (client if with_catalogue else create_app().test_client()).get("/health/ready")
    assert response.status_code == 200
    passing = dict.fromkeys(("rule_sets", "tables", "catalogue", "store"), "pass")
    assert json.loads(response.data)["checks"] == passing


def test_tables_that_cannot_be_read_are_503_and_named(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """The tables of an installation that runs cannot be damaged from here: the reading of them is made to fail."""

    def damaged(rules: UL508A) -> str:
        raise OSError("fuse_classes.csv")

    monkeypatch.setattr(UL508A, "tables_digest", damaged)
    response = client.get("/health/ready")
    assert response.status_code == 503
    assert response.content_type == "application/problem+json"
    members = json.loads(response.data)
    assert members["type"] == "/problems/not-ready"
    assert members["detail"] == "Not ready: tables."
    assert members["checks"] == {"rule_sets": "pass", "tables": "fail", "catalogue": "pass", "store": "pass"}
    assert "fuse_classes.csv" not in response.text
    assert client.get("/health/live").status_code == 200


def test_no_edition_is_503(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("api.health.editions", dict)
    members = json.loads(client.get("/health/ready").data)
    assert members["checks"]["rule_sets"] == "fail"
