"""The parts of the catalogue, one by one, and the search for them."""

import re
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import NotFound

from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.panel.component import SupplyType
from sccr.panel.kinds import kinds
from sccr.panel.voltage import System
from sccr.schema import quantity

from .access import Role
from .access import audit
from .access import caller
from .access import require
from .addresses import step
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .idempotency import Settle
from .idempotency import once
from .paging import asked_page
from .parameters import Reader
from .parameters import one_of
from .parameters import parameters
from .parameters import text
from .parameters import whole
from .preconditions import check_condition
from .preconditions import require_condition
from .rated import read_object
from .service import service
from .store import Delete
from .store import PartQuery
from .store import Put
from .store import StoredPart

blueprint = Blueprint("parts", __name__, url_prefix="/v1/parts")

#: The version of the catalogue that a change has made, or that an answer is from.
VERSION: Final = "Catalogue-Version"

_MOST_VERSIONS: Final = 10**12
version_number: Final = whole(1, _MOST_VERSIONS)

#: Where a page of the search begins: in which version of the catalogue, and after which part.
_PLACE: Final = re.compile(r"([1-9][0-9]{0,11}):(.{1,64})")

_FILTERS: Final[dict[str, Reader]] = {
    "kind": one_of(list(kinds())),
    "poles": whole(1, 4),
    "voltage": quantity.system_voltage,
    "system": one_of({system.value: system for system in System}),
    "amperes_min": quantity.ampere_rating,
    "amperes_max": quantity.ampere_rating,
    "interrupting": quantity.current,
    "supply": one_of({supply.value: supply for supply in SupplyType}),
    "standard": text,
    "mounting": text,
    "accessory": text,
    "text": text,
    "version": version_number,
}


@blueprint.get("")
@require(Role.READ)
def search_parts() -> Response:
    """List the parts that a query wants, by their number, as one version of the catalogue has them."""
    require_acceptable()
    asked = asked_page(_FILTERS, _PLACE)
    version, after = _place(asked.after)
    version = version or asked.filters["version"] or _newest()
    if version is None:
        return asked.page("parts", [], None, catalogue_version=None)
    page = service().store.search(_query(asked.filters), after, asked.limit, version)
    following = None if page.next is None else f"{version}:{page.next}"
    return asked.page("parts", [part.document for part in page.items], following, catalogue_version=version)


@blueprint.get("/<name:part>")
@require(Role.READ)
def get_part(part: str) -> Response:
    """Return a part as the newest version of the catalogue has it, or that of the parameter `version`."""
    require_acceptable()
    version = parameters({"version": version_number})["version"]
    found = service().store.part(part, version)
    if found is None:
        raise NotFound("The catalogue has no part of this number.")
    response = _answer(found, 200)
    response.make_conditional(request)
    return response


@blueprint.put("/<name:part>")
@require(Role.CATALOGUE)
def put_part(part: str) -> Response:
    """Put a part into the catalogue, or change it: that makes a new version of the catalogue."""
    require_acceptable()
    parameters({})
    require_condition()
    body = json_body(service().settings.max_body_bytes)

    def prepare() -> Settle:
        document = read_object(body)
        return lambda: _put(part, document)

    return once(body, prepare)


@blueprint.delete("/<name:part>")
@require(Role.CATALOGUE)
def delete_part(part: str) -> Response:
    """Take a part out of the catalogue: that makes a new version of it; the versions before keep the part."""
    parameters({})
    require_condition()
    return once(b"", lambda: lambda: _delete(part))


def _put(part: str, document: dict[str, Any]) -> Response:
    store = service().store
    present = store.part(part)
    check_condition(None if present is None else present.etag)
    if document.get("part") != part:
        told = f"is not the part of the address, {part!r}; write the same in both"
        raise InvalidDocument([Problem("/part", "not-the-address", told)])
    etag = None if present is None else present.etag
    try:
        version = store.apply_changes([Put(document, etag, create_only=present is None)], caller().signature)
    except InvalidDocument as error:
        raise InvalidDocument(_of_the_part(problem) for problem in error.problems) from error
    changed = store.part(part)
    assert changed is not None
    if changed.etag != etag:
        audit("part.put", part, version=version.number, etag=changed.etag)
    return _answer(changed, 200 if present else 201)


def _delete(part: str) -> Response:
    store = service().store
    present = store.part(part)
    if present is None:
        raise NotFound("The catalogue has no part of this number.")
    check_condition(present.etag)
    version = store.apply_changes([Delete(part, present.etag)], caller().signature)
    audit("part.delete", part, version=version.number)
    response = Response(status=204)
    del response.headers["Content-Type"]
    response.headers[VERSION] = str(version.number)
    return response


def _of_the_part(problem: Problem) -> Problem:
    """Return a problem of a list of one part as one of the part."""
    return Problem(problem.pointer.removeprefix("/parts/0"), problem.code, problem.detail)


def _answer(part: StoredPart, status: int) -> Response:
    response = as_json(part.document, status)
    response.set_etag(part.etag)
    response.cache_control.no_cache = True
    response.headers[VERSION] = str(part.version)
    response.vary.add("Accept")
    if status == 201:
        response.headers["Location"] = f"/v1/parts/{step(part.part)}"
    return response


def _place(after: str | None) -> tuple[int | None, str | None]:
    """Return the version of the catalogue that the pages are of, and the part after which the next one begins."""
    place = None if after is None else _PLACE.fullmatch(after)
    return (None, None) if place is None else (int(place[1]), place[2])


def _newest() -> int | None:
    newest = service().store.catalogue_version()
    return None if newest is None else newest.number


def _query(asked: Any) -> PartQuery:
    return PartQuery(
        kind=asked["kind"],
        poles=asked["poles"],
        voltage=asked["voltage"],
        system=asked["system"],
        ampere_ma_min=asked["amperes_min"],
        ampere_ma_max=asked["amperes_max"],
        interrupting_ma=asked["interrupting"],
        supply=asked["supply"] or SupplyType.AC,
        standard=asked["standard"],
        mounting=asked["mounting"],
        accessory=asked["accessory"],
        text=asked["text"],
    )
