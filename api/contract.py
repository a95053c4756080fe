"""The contract of the service, as it is written in openapi.yaml."""

from functools import cache
from pathlib import Path
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response

from .access import public
from .answers import as_fixed
from .answers import as_json

_HERE: Final = Path(__file__).parent
#: Beside the package where it is installed; above it in a checkout.
_PLACES: Final = (_HERE / "openapi.yaml", _HERE.parent / "openapi.yaml")

blueprint = Blueprint("contract", __name__)


@blueprint.get("/openapi.yaml")
@public
def contract_yaml() -> Response:
    """Return the contract as it is written."""
    return as_fixed(Response(_written(), content_type="application/yaml; charset=utf-8"))


@blueprint.get("/openapi.json")
@public
def contract_json() -> Response:
    """Return the contract as JSON."""
    return as_fixed(as_json(_read()))


@cache
def _written() -> bytes:
    return next(place for place in _PLACES if place.is_file()).read_bytes()


@cache
def _read() -> Any:
    import yaml  # only who asks for the contract as JSON needs it

    return yaml.safe_load(_written())
