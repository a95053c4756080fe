"""Messages to webhooks: what became of each, and those that were given up sent again."""

from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from werkzeug.exceptions import Conflict
from werkzeug.exceptions import NotFound

from .access import Role
from .access import audit
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .idempotency import once
from .paging import asked_page
from .parameters import one_of
from .parameters import parameters
from .parameters import text
from .service import service
from .store import Delivery
from .store import WrongState

blueprint = Blueprint("deliveries", __name__, url_prefix="/v1/deliveries")

_STATES: Final = ("pending", "delivered", "dead")


@blueprint.get("")
@require(Role.ADMIN)
def list_deliveries() -> Response:
    """List the messages, the newest first: all, those to a webhook, or those in a state: dead, those given up."""
    require_acceptable()
    asked = asked_page({"state": one_of(_STATES), "webhook": text})
    filters = {"state": asked.filters["state"], "webhook_id": asked.filters["webhook"]}
    page = service().store.deliveries(asked.after, asked.limit, **filters)
    return asked.page("deliveries", [_as_dict(delivery) for delivery in page.items], page.next)


@blueprint.get("/<name:delivery>")
@require(Role.ADMIN)
def get_delivery(delivery: str) -> Response:
    """Return a message: what it says, how often it was sent, and what was answered."""
    require_acceptable()
    parameters({})
    response = as_json(_as_dict(_delivery(delivery)))
    response.vary.add("Accept")
    return response


@blueprint.post("/<name:delivery>/retry")
@require(Role.ADMIN)
def retry_delivery(delivery: str) -> Response:
    """Have a message that was given up sent again, beginning now."""
    require_acceptable()
    parameters({})
    return once(b"", lambda: lambda: _again(delivery))


def _again(id: str) -> Response:
    found = _delivery(id)
    hook = service().store.webhook(found.webhook_id)
    if hook is None or hook.disabled_at is not None:
        raise Conflict("The webhook of this delivery is deleted: nothing more is sent to it.")
    try:
        again = service().store.retry(id)
    except WrongState as error:
        raise Conflict(f"The delivery is {found.state}; only one that is dead is sent again.") from error
    audit("delivery.retry", id, webhook=again.webhook_id)
    return as_json(_as_dict(again), 202)


def _delivery(id: str) -> Delivery:
    found = service().store.delivery(id)
    if found is None:
        raise NotFound("There is no delivery of this id.")
    return found


def _as_dict(delivery: Delivery) -> dict[str, Any]:
    return {
        "id": delivery.id,
        "webhook": delivery.webhook_id,
        "event_id": delivery.event_id,
        "event": delivery.event,
        "payload": delivery.payload,
        "state": delivery.state,
        "attempts": delivery.attempts,
        "created_at": delivery.created_at,
        "next_at": delivery.next_at,
        "last_status": delivery.last_status,
        "last_error": delivery.last_error,
    }
