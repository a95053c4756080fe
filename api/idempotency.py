"""Once and once only: what is sent again under the same Idempotency-Key is done once, and answered alike.

The key is claimed before the work begins; the work and the answer that is kept for repetitions are committed together,
so that neither can be without the other. Only what was done is kept: after a refusal or a failure, nothing was, and the
same key may be used again. Answers are kept for 24 hours.
"""

import re
from collections.abc import Callable
from contextlib import suppress
from hashlib import sha256
from typing import Final

from flask import Response
from flask import request

from .access.caller import caller
from .parameters import fault
from .parameters import wrong_parameters
from .refusals import Refusal
from .service import service
from .store import Claim
from .store import StoreError

HEADER: Final = "Idempotency-Key"
_IN_ENVIRONMENT: Final = "HTTP_IDEMPOTENCY_KEY"
REPLAYED: Final = "Idempotent-Replayed"

#: A string of RFC 8941, or the same without its quotes.
_QUOTED: Final = re.compile(r'"((?:[ !#-\[\]-~]|\\["\\])+)"')
_BARE: Final = re.compile(r"[!#-~][!-~]*")
_LONGEST: Final = 255
_KEPT: Final = ("Content-Type", "ETag", "Location", "Catalogue-Version", "Vary")

#: Does what is to be done, within a transaction, and returns the answer.
Settle = Callable[[], Response]


def once(body: bytes, prepare: Callable[[], Settle]) -> Response:
    """Answer a request that changes something.

    Parameters
    ----------
    body : bytes
        What was sent: the same key with another body is a mistake.
    prepare : callable
        Does the slow part, such as rating, outside of any transaction, and returns what settles it.

    Raises Refusal: 400 for a key of another form, 409 while the first request is under way, 422 for another body.
    """
    key = _key()
    if key is None:
        settle = prepare()
        with service().store.transaction():
            return settle()
    claim = service().store.claim(_scope(), key, _fingerprint(body))
    if claim.state == "replay":
        return _replayed(claim)
    if claim.state != "new":
        raise _refused(claim)
    try:
        return _settled(claim, prepare())
    except BaseException:
        with suppress(StoreError):  # then the claim is given up by its age
            service().store.forget(claim)
        raise


def once_if_asked(body: bytes, prepare: Callable[[], Settle]) -> Response:
    """Answer a request that changes nothing: a key is honoured, and without one nothing is written at all."""
    return prepare()() if _key() is None else once(body, prepare)


def _settled(claim: Claim, settle: Settle) -> Response:
    store = service().store
    with store.transaction():
        response = settle()
        kept = [(name, value) for name, value in response.headers if name in _KEPT]
        if not store.finish(claim, response.status_code, kept, response.get_data()):
            raise _under_way()  # it took so long that another request took over: that one counts, and this is undone
    return response


def _replayed(claim: Claim) -> Response:
    response = Response(claim.body, claim.status)
    del response.headers["Content-Type"]
    response.headers.extend(claim.headers)
    response.headers[REPLAYED] = "true"
    return response


def _refused(claim: Claim) -> Refusal:
    if claim.state == "in_flight":
        return _under_way()
    return Refusal(
        "idempotency-key-reused",
        "The Idempotency-Key was used for another request. Make a new one for each thing that is to be done.",
    )


def _under_way() -> Refusal:
    detail = "A request with this Idempotency-Key is under way. Send it again in a moment for its answer."
    return Refusal("idempotency-key-in-use", detail, {"Retry-After": "1"})


def _key() -> str | None:
    """Return the key of the request, without quotes; the same with them is the same key."""
    sent = request.environ.get(_IN_ENVIRONMENT)
    if sent is None:
        return None
    quoted = _QUOTED.fullmatch(sent)
    key = re.sub(r"\\(.)", r"\1", quoted[1]) if quoted else sent
    if len(key) > _LONGEST or not (quoted or _BARE.fullmatch(sent)):
        told = f'write 1 to {_LONGEST} printable ASCII characters, such as "8e03978e-40d5-43dd-bc93-6894a57f9324"'
        raise wrong_parameters([fault(("headers", HEADER), "not-a-key", told)])
    return key


def _scope() -> str:
    """Return within what a key is one: the caller, the method and the path."""
    who = caller()
    return f"{who.key_id or who.name} {request.method} {request.path}"


def _fingerprint(body: bytes) -> str:
    asked = f"{request.query_string.decode('latin-1')}\n{request.mimetype}\n"
    return sha256(asked.encode() + body).hexdigest()
