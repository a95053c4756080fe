"""Webhooks: where somebody is told that a batch has ended, or that the rating of a panel has changed."""

from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from werkzeug.exceptions import NotFound

from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.schema.nearest import nearest
from sccr.schema.problems import pointer
from sccr.schema.problems import shown

from .access import Role
from .access import audit
from .access import caller
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .idempotency import Settle
from .idempotency import once
from .parameters import parameters
from .rated import read_object
from .service import service
from .store import Webhook
from .webhook_events import EVENTS
from .webhook_signing import new_secret
from .webhook_targets import AllowList
from .webhook_targets import NotAllowed

blueprint = Blueprint("webhooks", __name__, url_prefix="/v1/webhooks")

_MEMBERS: Final = ("url", "events")


@blueprint.post("")
@require(Role.ADMIN)
def create_webhook() -> Response:
    """Register a webhook. Its secret is told here, and never again."""
    require_acceptable()
    parameters({})
    body = json_body(service().settings.max_body_bytes)

    def prepare() -> Settle:
        url, events = _read(read_object(body))
        return lambda: _added(url, events)

    return once(body, prepare)


@blueprint.get("")
@require(Role.ADMIN)
def list_webhooks() -> Response:
    """List the webhooks, the oldest first."""
    require_acceptable()
    parameters({})
    hooks = [hook for hook in service().store.webhooks() if hook.disabled_at is None]
    response = as_json({"webhooks": [_as_dict(hook) for hook in hooks]})
    response.vary.add("Accept")
    return response


@blueprint.get("/<name:webhook>")
@require(Role.ADMIN)
def get_webhook(webhook: str) -> Response:
    """Return a webhook, without its secret."""
    require_acceptable()
    parameters({})
    response = as_json(_as_dict(_webhook(webhook)))
    response.vary.add("Accept")
    return response


@blueprint.delete("/<name:webhook>")
@require(Role.ADMIN)
def delete_webhook(webhook: str) -> Response:
    """Have a webhook told nothing more, nor what is still to be sent to it."""
    parameters({})
    store = service().store
    with store.transaction():
        found = _webhook(webhook)
        store.disable_webhook(found.id)
        audit("webhook.delete", found.id, url=found.url)
    response = Response(status=204)
    del response.headers["Content-Type"]
    return response


def _added(url: str, events: list[str]) -> Response:
    hook = service().store.add_webhook(url, new_secret(), events, caller().signature)
    audit("webhook.create", hook.id, url=url, events=events)
    response = as_json({**_as_dict(hook), "secret": hook.secret}, 201)
    response.headers["Location"] = f"/v1/webhooks/{hook.id}"
    return response


def _webhook(id: str) -> Webhook:
    found = service().store.webhook(id)
    if found is None or found.disabled_at is not None:
        raise NotFound("There is no webhook of this id.")
    return found


def _as_dict(hook: Webhook) -> dict[str, Any]:
    return {
        "id": hook.id,
        "url": hook.url,
        "events": list(hook.events),
        "created_at": hook.created_at,
        "created_by": hook.created_by,
    }


def _read(document: dict[str, Any]) -> tuple[str, list[str]]:
    """Return url and events. Raises InvalidDocument with everything that is wrong with them."""
    strangers = [name for name in document if name not in _MEMBERS]
    told = f"is not known here; known are {', '.join(_MEMBERS)}"
    problems = [Problem(pointer((name[:64],)), "unknown-field", told) for name in strangers]
    url = document.get("url")
    problems += _of_url(url)
    events = document.get("events")
    problems += _of_events(events)
    if problems:
        raise InvalidDocument(problems)
    assert isinstance(url, str) and isinstance(events, list)
    return url, events


def _of_url(url: Any) -> list[Problem]:
    if not isinstance(url, str):
        return [Problem("/url", "not-a-text", "is no text; write the address at which messages are taken")]
    try:
        allowed = AllowList(service().settings.webhook_targets)
        allowed.addresses(allowed.target(url))
    except NotAllowed as refused:
        return [Problem("/url", "target-not-allowed", str(refused))]
    except (OSError, UnicodeError):
        return [Problem("/url", "target-not-found", "names a host that has no address now; check how it is written")]
    return []


def _of_events(events: Any) -> list[Problem]:
    if not isinstance(events, list) or not events:
        return [Problem("/events", "no-events", f"is no list of events; there are {', '.join(EVENTS)}")]
    problems = []
    for number, event in enumerate(events):
        place = pointer(("events", number))
        if not isinstance(event, str) or event not in EVENTS:
            near = nearest(event, list(EVENTS)) if isinstance(event, str) else None
            remedy = f"did you mean {shown(near)}?" if near else f"there are {', '.join(EVENTS)}"
            problems.append(Problem(place, "unknown-event", f"is no event; {remedy}"))
        elif event in events[:number]:
            problems.append(Problem(place, "repeated", "stands in the list already"))
    return problems
