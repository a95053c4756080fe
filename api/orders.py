"""Orders: the panels of each, every revision of a panel with its rating, and what follows from it."""

import re
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import NotFound

from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.result import FULL

from .access import Role
from .access import audit
from .access import caller
from .access import require
from .addresses import LONGEST_NAME
from .addresses import step
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .idempotency import Settle
from .idempotency import once
from .paging import NUMBERS
from .paging import asked_page
from .parameters import fault
from .parameters import parameters
from .parameters import text
from .parameters import whole
from .parameters import wrong_parameters
from .preconditions import check_condition
from .preconditions import require_condition
from .rated import DERIVATION
from .rated import Rated
from .rated import rate_document
from .rated import read_object
from .records import answer_rating
from .service import service
from .store import OrderSummary
from .store import Record
from .store import Revision

blueprint = Blueprint("orders", __name__, url_prefix="/v1/orders")

_NAME: Final = re.compile(r"[^\s\x00-\x1f\x7f-\x9f]([^\x00-\x1f\x7f-\x9f]*[^\s\x00-\x1f\x7f-\x9f])?")
_PANEL: Final = "/<name:order>/panels/<name:designation>"
_MOST_REVISIONS: Final = 10**9
_SHIPPED: Final = "-shipped"

_revision_number: Final = whole(1, _MOST_REVISIONS)


@blueprint.get("")
@require(Role.READ)
def list_orders() -> Response:
    """List the orders, by their names."""
    require_acceptable()
    asked = asked_page({"text": text})
    page = service().store.orders(asked.after, asked.limit, asked.filters["text"])
    return asked.page("orders", [_order(order) for order in page.items], page.next)


@blueprint.get("/<name:order>/panels")
@require(Role.READ)
def list_panels(order: str) -> Response:
    """List the panels of an order, each with its newest revision."""
    require_acceptable()
    asked = asked_page({})
    page = service().store.panels(order, asked.after, asked.limit)
    if not page.items and asked.after is None:
        raise NotFound("There is no order of this name.")
    return asked.page("panels", [_summary(revision) for revision in page.items], page.next)


@blueprint.put(_PANEL)
@require(Role.RATE)
def put_panel(order: str, designation: str) -> Response:
    """Store the next revision of a panel, and rate it."""
    require_acceptable()
    parameters({})
    _require_names(order, designation)
    require_condition()
    body = json_body(service().settings.max_body_bytes)

    def prepare() -> Settle:
        rated = rate_document(read_object(body))
        _require_address(order, designation, rated.document)
        return lambda: _keep(order, designation, rated)

    return once(body, prepare)


@blueprint.get(_PANEL)
@require(Role.READ)
def get_panel(order: str, designation: str) -> Response:
    """Return a revision of a panel with its document and its rating, the newest unless it is said."""
    require_acceptable()
    revision = _revision(order, designation, parameters({"revision": _revision_number})["revision"])
    response = _answer(revision, _record(revision).result, 200)
    response.make_conditional(request)
    return response


@blueprint.get(f"{_PANEL}/revisions")
@require(Role.READ)
def list_revisions(order: str, designation: str) -> Response:
    """List the revisions of a panel, the newest first."""
    require_acceptable()
    asked = asked_page({}, NUMBERS)
    page = service().store.revisions(order, designation, asked.after, asked.limit)
    if not page.items and asked.after is None:
        raise _no_panel()
    return asked.page("revisions", [_summary(revision) for revision in page.items], page.next)


@blueprint.put(f"{_PANEL}/revisions/<name:revision>/shipped")
@require(Role.RATE)
def put_shipped(order: str, designation: str, revision: str) -> Response:
    """Note that a revision of a panel was shipped; a second time changes nothing."""
    require_acceptable()
    parameters({})
    if not NUMBERS.fullmatch(revision):
        raise _no_panel()
    return once(b"", lambda: lambda: _ship(order, designation, int(revision)))


@blueprint.get(f"{_PANEL}/rating")
@require(Role.READ)
def get_panel_rating(order: str, designation: str) -> Response:
    """Return the rating of a revision as it was given."""
    require_acceptable()
    asked = parameters({"revision": _revision_number, **DERIVATION})
    return answer_rating(_record(_revision(order, designation, asked["revision"])), asked["derivation"] or FULL)


@blueprint.get(f"{_PANEL}/nameplate")
@require(Role.READ)
def get_panel_nameplate(order: str, designation: str) -> Response:
    """Return the nameplate of a revision."""
    from . import plates  # what draws is heavy: the first who asks for a drawing waits for it, not every start

    asked = parameters({"revision": _revision_number, **plates.PARAMETERS})
    return plates.answer_nameplate(_record(_revision(order, designation, asked["revision"])), asked)


@blueprint.get(f"{_PANEL}/report")
@require(Role.READ)
def get_panel_report(order: str, designation: str) -> Response:
    """Return the report of a revision."""
    from . import reports  # heavy, as are nameplates

    asked = parameters({"revision": _revision_number, **reports.PARAMETERS})
    return reports.answer_report(_record(_revision(order, designation, asked["revision"])), asked)


@blueprint.get(f"{_PANEL}/compare")
@require(Role.READ)
def compare_revisions(order: str, designation: str) -> Response:
    """Return what changed from one revision to another, and why the rating moved."""
    from sccr.comparison import compare  # nothing else needs it

    require_acceptable()
    asked = parameters({"from": _revision_number, "to": _revision_number})
    later = _revision(order, designation, asked["to"])
    earlier = _revision(order, designation, asked["from"] or max(1, later.revision - 1))
    before, after = _record(earlier), _record(later)
    found = compare(before.result, after.result, before.document, after.document)
    place = {"order": order, "designation": designation, "from": earlier.revision, "to": later.revision}
    response = as_json({**place, **found.as_dict()})
    response.vary.add("Accept")
    return response


def _keep(order: str, designation: str, rated: Rated) -> Response:
    store = service().store
    newest = store.revision(order, designation)
    check_condition(None if newest is None else _tag(newest))
    etag = None if newest is None else newest.etag
    revision = store.put_revision(order, designation, rated.as_record(), expected_etag=etag, create_only=newest is None)
    told = {"revision": revision.revision, "record": revision.record_id, "status": rated.rating.status}
    audit("panel.put", _address(revision), **told)
    return _answer(revision, rated.rating.as_dict(), 201 if newest is None else 200)


def _ship(order: str, designation: str, number: int) -> Response:
    store = service().store
    found = store.revision(order, designation, number)
    if found is None:
        raise _no_panel()
    shipped = store.mark_shipped(order, designation, number, caller().signature)
    if found.shipped_at is None:
        audit("panel.shipped", _address(shipped), revision=number)
    return as_json(_summary(shipped))


def _require_names(order: str, designation: str) -> None:
    """Raise Refusal (400) for a name that could not be read again from a list or a label."""
    told = f"write 1 to {LONGEST_NAME} characters, without control characters and without a space at either end"
    names = {"order": order, "designation": designation}
    wrong = [step for step, name in names.items() if len(name) > LONGEST_NAME or not _NAME.fullmatch(name)]
    if wrong:
        raise wrong_parameters([fault(("path", step), "not-a-name", told) for step in wrong])


def _require_address(order: str, designation: str, document: dict[str, Any]) -> None:
    """Raise InvalidDocument where the document says of itself that it is another panel, or of another order."""
    identity = document["panel"]
    named = {"designation": (identity["designation"], designation), "order": (identity.get("order", order), order)}
    wrong = [
        Problem(f"/panel/{name}", "not-the-address", f"is {stated!r}, but {asked!r} in the address; write one of them")
        for name, (stated, asked) in named.items()
        if stated != asked
    ]
    if wrong:
        raise InvalidDocument(wrong)


def _revision(order: str, designation: str, number: int | None) -> Revision:
    found = service().store.revision(order, designation, number)
    if found is None:
        raise _no_panel()
    return found


def _record(revision: Revision) -> Record:
    found = service().store.record(revision.record_id)
    assert found is not None  # the database refers from one to the other
    return found


def _no_panel() -> NotFound:
    return NotFound("The order has no such panel, or the panel no such revision.")


def _answer(revision: Revision, result: dict[str, Any], status: int) -> Response:
    response = as_json({**_summary(revision), "document": revision.document, "result": result}, status)
    response.set_etag(_tag(revision))
    response.cache_control.no_cache = True
    response.vary.add("Accept")
    if status == 201:
        response.headers["Location"] = _address(revision)
    return response


def _tag(revision: Revision) -> str:
    """Return what names a revision as it is answered: that it was shipped is seen, too."""
    return revision.etag if revision.shipped_at is None else revision.etag + _SHIPPED


def _address(revision: Revision) -> str:
    return f"/v1/orders/{step(revision.order)}/panels/{step(revision.designation)}"


def _order(order: OrderSummary) -> dict[str, Any]:
    return {
        "order": order.order,
        "panels": order.panels,
        "created_at": order.created_at,
        "updated_at": order.updated_at,
    }


def _summary(revision: Revision) -> dict[str, Any]:
    return {
        "order": revision.order,
        "designation": revision.designation,
        "revision": revision.revision,
        "record": revision.record_id,
        "status": revision.status,
        "current_amperes": revision.current_amperes,
        "document_digest": revision.document_digest,
        "catalogue_version": revision.catalogue_version,
        "created_at": revision.created_at,
        "created_by": revision.created_by,
        "shipped_at": revision.shipped_at,
    }
