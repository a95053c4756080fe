"""What the tests of the service share: an application with the demo catalogue, the demo panels and the contract."""

import json
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

from api import create_app
from api.settings import Settings
from sccr import Catalogue

ROOT = Path(__file__).parents[2]
CATALOGUE = ROOT / "fixtures" / "catalogue" / "grain.json"
PANELS = sorted((ROOT / "fixtures" / "panels").glob("*.json"))


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return Catalogue.from_document(CATALOGUE.read_bytes())


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Settings(catalogue=CATALOGUE))


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
        schema = {"$ref": f"urn:contract#/components/schemas/{name}"}
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
