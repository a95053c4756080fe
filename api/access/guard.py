"""The door: each request is let in, or told why not, before anything reads what it says."""

import logging
from functools import lru_cache
from ipaddress import ip_address
from ipaddress import ip_network
from typing import Final

from flask import Flask
from flask import Response
from flask import current_app
from flask import g
from flask import request

from ..logs import bind
from ..refusals import Refusal
from .buckets import Buckets
from .buckets import Verdict
from .caller import OPEN
from .caller import Caller
from .caller import name_caller
from .keys import find_key
from .roles import Role
from .roles import require_decisions
from .roles import role_of
from .state import Access
from .state import access

_LOG: Final = logging.getLogger("sccr.service")
_CHALLENGE: Final = 'Bearer realm="sccr"'


def guard(app: Flask, rests_on: Access) -> None:
    """Let into every route of the application only whom its decision names. Call it before routes are added."""
    app.extensions[Access.NAME] = rests_on
    app.before_request(_admit)
    app.after_request(_tell_rate)


def require_guarded(app: Flask) -> None:
    """Raise UndecidedRoute unless every route of the application says whom it is for. Call it when all are added."""
    require_decisions(app)


@lru_cache(maxsize=64)
def is_this_machine(host: str) -> bool:
    """Return whether a host, by name or address, can be reached from this machine only."""
    try:
        return host == "localhost" or ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def _admit() -> None:
    if request.endpoint is None:
        return  # no such resource, or no such method: there is nothing to keep
    needed = role_of(current_app, request.endpoint)
    if needed is None:
        return
    sent = request.environ.get("HTTP_AUTHORIZATION")
    found = _caller(sent)
    _limit_rate(found)
    if found is None:
        raise _unauthorized(sent)
    if found.role is None or found.role < needed:
        raise _forbidden(found, needed)
    name_caller(found)
    bind(key=found.key_id)


def _caller(sent: str | None) -> Caller | None:
    """Return who is calling, None where a key is needed and none is sent that holds."""
    keys = access().keys
    if sent is not None:
        scheme, _, text = sent.partition(" ")
        key = find_key(keys, text.strip()) if scheme.lower() == "bearer" else None
        if key is None:
            return None
        keys.touch(key.id)
        return Caller(key.id, key.name, Role.named(key.role))
    if not access().is_open():
        return None
    _require_own_name()
    return OPEN


def _require_own_name() -> None:
    """Raise where an open service is addressed by a name that is not this machine's.

    It answers this machine only. But a page of the web that has its own name lead to 127.0.0.1 could make a browser
    on this machine ask in its place, and read the answers; the browser then sends that name as Host.
    """
    host = request.host.rsplit(":", 1)[0] if not request.host.endswith("]") else request.host
    if not is_this_machine(host):
        raise Refusal(
            "misdirected",
            f"The service runs open, without keys, and so answers to the names of its own machine only, not to "
            f"{host[:255]!r}. Use 127.0.0.1 or localhost, or make a key.",
        )


def _unauthorized(sent: str | None) -> Refusal:
    if sent is None:
        detail = "The service has keys. Send one: Authorization: Bearer sccr_…"
        return Refusal("unauthorized", detail, {"WWW-Authenticate": _CHALLENGE})
    challenge = f'{_CHALLENGE}, error="invalid_token"'
    detail = "The header Authorization holds no key that is known and not revoked. It reads: Bearer sccr_…"
    return Refusal("unauthorized", detail, {"WWW-Authenticate": challenge})


def _forbidden(found: Caller, needed: Role) -> Refusal:
    has = "no role" if found.role is None else f"the role {found.role.label}"
    challenge = f'{_CHALLENGE}, error="insufficient_scope", scope="{needed.label}"'
    detail = f"This asks for the role {needed.label}; the key has {has}."
    _LOG.warning("forbidden", extra={"fields": {"key": found.key_id, "needed": needed.label}})
    return Refusal("forbidden", detail, {"WWW-Authenticate": challenge})


def _limit_rate(found: Caller | None) -> None:
    """Take a token for the key, or for the address of whoever has none; raise where there is none left."""
    buckets = access().buckets
    if buckets is None:
        return
    verdict = buckets.take(_address() if found is None or found.key_id is None else f"key {found.key_id}")
    g.rate = verdict
    if not verdict.passes:
        detail = f"The limit is {buckets.quota} in {buckets.window} s. Wait {verdict.retry_in} s."
        raise Refusal("too-many-requests", detail, {"Retry-After": str(verdict.retry_in)})


def _address() -> str:
    """Return the address of the caller; of IPv6 the network of 64 bits, since one customer has all of it."""
    address = request.remote_addr or ""
    try:
        return str(ip_network(f"{address}/64", strict=False)) if ":" in address else address
    except ValueError:
        return address


def _tell_rate(response: Response) -> Response:
    verdict = g.get("rate")
    if isinstance(verdict, Verdict):
        _write_rate(response, access().buckets, verdict)
    return response


def _write_rate(response: Response, buckets: Buckets | None, verdict: Verdict) -> None:
    """Write the fields of the draft of the IETF (draft-ietf-httpapi-ratelimit-headers-10)."""
    assert buckets is not None
    response.headers["RateLimit-Policy"] = f'"default";q={buckets.quota};w={buckets.window}'
    response.headers["RateLimit"] = f'"default";r={verdict.remaining};t={verdict.full_in}'
