"""Selections: a circuit comes in, the devices of the catalogue that suit it go out, and the near misses."""

from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from werkzeug.exceptions import NotFound

from sccr.schema.digest import digest_of

from .access import Role
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .idempotency import Settle
from .idempotency import once_if_asked
from .operations import in_time
from .parameters import parameters
from .parameters import whole
from .parts import version_number
from .rated import rating_tag
from .rated import read_object
from .service import service
from .store import CatalogueVersion

blueprint = Blueprint("selections", __name__, url_prefix="/v1")

_SHOWN: Final = 10
_MOST_SHOWN: Final = 200


@blueprint.post("/selections")
@require(Role.RATE)
def create_selection() -> Response:
    """Choose devices for the circuit that is the body; nothing is kept of it."""
    require_acceptable()
    asked = parameters({"limit": whole(1, _MOST_SHOWN), "version": version_number})
    body = json_body(service().settings.max_body_bytes)

    def prepare() -> Settle:
        document = read_object(body)
        answer = _chosen(document, asked["version"], asked["limit"] or _SHOWN)
        return lambda: _answer(document, answer)

    return once_if_asked(body, prepare)


def catalogue_asked(number: int | None) -> CatalogueVersion | None:
    """Return the version of the catalogue that is asked for, or the newest; None where there is no catalogue at all."""
    version = service().store.catalogue_version(number)
    if version is None and number is not None:
        raise NotFound("The catalogue has no such version.")
    return version


def _chosen(document: dict[str, Any], number: int | None, limit: int) -> dict[str, Any]:
    from sccr.schema.circuit import load_circuit  # with the first choice, and before any work in time
    from sccr.selection import Devices
    from sccr.selection import select

    from .kept_parts import devices_of

    circuit = load_circuit(document)
    version = catalogue_asked(number)
    ready = Devices((), "") if version is None else devices_of(version)
    found = in_time(service().settings.work_seconds, lambda: select(circuit, ready, limit=limit)).as_dict()
    if version is None:
        found["method"]["catalogue_digest"] = None
    return {**found, "limit": limit, "catalogue_version": None if version is None else version.number}


def _answer(document: dict[str, Any], answer: dict[str, Any]) -> Response:
    response = as_json(answer)
    told = {**answer["method"], "limit": answer["limit"], "catalogue_version": answer["catalogue_version"]}
    response.set_etag(rating_tag(digest_of(document), told))
    response.vary.add("Accept")
    return response
