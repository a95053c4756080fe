"""What the tests of the service share: an application with the demo catalogue, the demo panels and the contract."""

import json
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import yaml
from flask import Flask
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from jsonschema import FormatChecker
from referencing import Registry
from referencing.jsonschema import DRAFT202012
from sqlalchemy.engine import URL

from api import create_app
from api.settings import Settings
from api.store import Store
from api.store import open_store
from sccr import Catalogue
from tests.store.databases import fresh
from tests.store.databases import postgresql

ROOT = Path(__file__).parents[2]
CATALOGUE = ROOT / "fixtures" / "catalogue" / "grain.json"
PANELS = sorted((ROOT / "fixtures" / "panels").glob("*.json"))
WORLDS = sorted((ROOT / "fixtures" / "worlds").glob("*.json"))


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return Catalogue.from_document(CATALOGUE.read_bytes())


@pytest.fixture(autouse=True)
def own_data(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever service a test starts without saying where it keeps things keeps them for this test only."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))


@pytest.fixture(scope="session")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """An application with the demo catalogue, for tests that change nothing that others see."""
    return create_app(Settings(catalogue=CATALOGUE, data=tmp_path_factory.mktemp("app")))


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[URL]:
    with postgresql() as server:
        yield server


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of an empty database; whoever uses it is run with a file, and with a real PostgreSQL."""
    server = request.getfixturevalue("postgresql_server") if request.param == "postgresql" else None
    with fresh(server, tmp_path) as address:
        yield address


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Store]:
    """A store of its own for one test."""
    with fresh(None, tmp_path) as address, closing(open_store(address)) as opened:
        yield opened


@pytest.fixture
def own_app(desk: Store) -> Flask:
    """An application with the demo catalogue and a store of its own."""
    return create_app(Settings(catalogue=CATALOGUE), desk)


@pytest.fixture
def own(own_app: Flask) -> FlaskClient:
    return own_app.test_client()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture(scope="session")
def contract() -> dict[str, Any]:
    loaded = yaml.safe_load((ROOT / "openapi.yaml").read_text("utf-8"))
    assert isinstance(loaded, dict)
    return loaded


class Schemas:
    """The schemas of the contract as validators."""

    def __init__(self, contract: dict[str, Any]) -> None:
        self._registry = Registry().with_resource("urn:contract", DRAFT202012.create_resource(contract))

    def faults(self, name: str, value: Any) -> list[str]:
        return self.faults_by({"$ref": f"#/components/schemas/{name}"}, value)

    def faults_by(self, written: dict[str, Any], value: Any) -> list[str]:
        """Return what is wrong with a value by a schema as it stands in the contract, a reference or its own."""
        schema = {"$ref": f"urn:contract{written['$ref']}"} if "$ref" in written else written
        validator = Draft202012Validator(schema, registry=self._registry, format_checker=FormatChecker())
        return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(value)]


@pytest.fixture(scope="session")
def schemas(contract: dict[str, Any]) -> Schemas:
    return Schemas(contract)


@pytest.fixture
def starter() -> dict[str, Any]:
    """The demo panel in which everything is marked: 18 kA."""
    document = json.loads((ROOT / "fixtures" / "panels" / "all_marked.json").read_bytes())
    assert isinstance(document, dict)
    return document
