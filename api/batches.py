"""Batches: many panels in one request, a line of JSON each; they are rated while the caller does other things."""

import hashlib
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from typing import IO
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import BadRequest
from werkzeug.exceptions import HTTPException
from werkzeug.exceptions import NotFound
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.exceptions import RequestTimeout
from werkzeug.exceptions import UnsupportedMediaType

from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.many.lines import groups_of
from sccr.many.lines import lines_in
from sccr.result import FULL

from .access import Role
from .access import audit
from .access import caller
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .idempotency import Settle
from .idempotency import once
from .operations.patience import came_too_late
from .operations.patience import expect_more
from .paging import asked_page
from .parameters import flag
from .parameters import one_of
from .parameters import parameters
from .parameters import whole
from .rated import DERIVATION
from .refusals import Refusal
from .requests import request_id
from .service import service
from .store import RATINGS
from .store import Batch
from .store import Store
from .store import StoreError
from .webhook_events import announce_end
from .work.options import Options

NDJSON: Final = "application/x-ndjson"

#: All names that lines of JSON go by; the one that answers have comes first.
_MEDIA_TYPES: Final = (NDJSON, "application/ndjson", "application/jsonl")
_STATES: Final = ("receiving", "queued", "running", "done", "failed", "cancelled")
_ENDED: Final = frozenset({"done", "failed", "cancelled"})
_PIECE: Final = 2**16
_PAGE: Final = 100
_IN_MEMORY: Final = 2**20
_RETRY_SECONDS: Final = 1
_MOST_LINES: Final = 10**9

blueprint = Blueprint("batches", __name__, url_prefix="/v1/batches")


@blueprint.post("")
@require(Role.RATE)
def create_batch() -> Response:
    """Take in a batch; with `record=true`, each rating is kept as a record. The ratings come later."""
    require_acceptable()
    asked = parameters({"record": flag, **DERIVATION})
    keep, extent = bool(asked["record"]), asked["derivation"] or FULL
    _require_lines()
    with tempfile.SpooledTemporaryFile(_IN_MEMORY) as spool:
        digest = _spool(spool)
        return once(digest, lambda: _received(spool, keep, extent))


@blueprint.get("")
@require(Role.READ)
def list_batches() -> Response:
    """List the batches, the newest first: all, or those in a state."""
    require_acceptable()
    asked = asked_page({"state": one_of(_STATES)})
    page = service().store.batches(asked.after, asked.limit, state=asked.filters["state"], kind=RATINGS)
    return asked.page("batches", [as_resource(batch) for batch in page.items], page.next)


@blueprint.get("/<name:batch>")
@require(Role.READ)
def get_batch(batch: str) -> Response:
    """Return a batch: its state, and how many of its lines are done."""
    require_acceptable()
    parameters({})
    return _answer(_batch(batch))


@blueprint.delete("/<name:batch>")
@require(Role.RATE)
def cancel_batch(batch: str) -> Response:
    """Cancel a batch; what is done of it stays. One that has ended stays as it is."""
    require_acceptable()
    parameters({})
    store = service().store
    with store.transaction():
        found = _batch(batch)
        cancelled = store.cancel_batch(batch)
        if found.state not in _ENDED and cancelled.state == "cancelled":
            announce_end(store, cancelled)
            audit("batch.cancel", batch, done=cancelled.done, lines=cancelled.lines)
    return _answer(cancelled)


@blueprint.get("/<name:batch>/results")
@require(Role.READ)
def get_results(batch: str) -> Response:
    """Return what has become of the lines, in their order; while the batch runs, up to the first that is not done."""
    require_acceptable(NDJSON)
    asked = parameters({"after": whole(0, _MOST_LINES), "limit": whole(1, _MOST_LINES)})
    found = _batch(batch)
    results = _results(service().store, found.id, asked["after"] or 0, asked["limit"] or _MOST_LINES)
    response = Response(results, content_type=NDJSON)
    response.vary.add("Accept")
    return response


def as_resource(batch: Batch) -> dict[str, Any]:
    """Return a batch as it is answered."""
    address = f"/v1/batches/{batch.id}"
    options = Options.of(batch.options)
    return {
        "id": batch.id,
        "state": batch.state,
        "total": batch.total,
        "done": batch.done,
        "failed": batch.failed,
        "record": options.record,
        "derivation": options.derivation,
        "catalogue_version": options.catalogue_version,
        "created_at": batch.created_at,
        "created_by": batch.by,
        "ended_at": batch.finished_at,
        "reason": batch.reason,
        "links": {"self": address, "results": f"{address}/results"},
    }


def _answer(batch: Batch, status: int = 200) -> Response:
    response = as_json(as_resource(batch), status)
    response.vary.add("Accept")
    if batch.state not in _ENDED:
        response.headers["Retry-After"] = str(_RETRY_SECONDS)
    return response


def _batch(id: str) -> Batch:
    found = service().store.batch(id, RATINGS)
    if found is None:
        raise NotFound("There is no batch of this id.")
    return found


def _results(store: Store, id: str, after: int, limit: int) -> Iterator[bytes]:
    while limit > 0 and (some := store.results(id, after, min(_PAGE, limit))):
        yield b"".join(f"{each.result}\n".encode("utf-8", "backslashreplace") for each in some)
        after, limit = some[-1].line, limit - len(some)


def _received(spool: IO[bytes], keep: bool, extent: str) -> Settle:
    """Write the lines into the store, and return what makes a batch of them that is worked on."""
    store = service().store
    newest = store.catalogue_version()
    version = None if newest is None else newest.number
    options = Options(caller().signature, request_id(), keep, version, derivation=extent)
    batch = store.create_batch(options.asked_by, options.as_dict())
    try:
        spool.seek(0)
        pieces = iter(lambda: spool.read(_PIECE), b"")
        for group in groups_of(lines_in(pieces, service().settings.max_body_bytes)):
            store.add_lines(batch.id, group)
    except BaseException:
        with suppress(StoreError):  # then it is given up by its age
            store.fail_batch(batch.id, "it could not be taken in")
        raise
    return lambda: _sealed(batch.id)


def _sealed(id: str) -> Response:
    batch = service().store.seal(id)
    audit("batch.create", id, lines=batch.lines, record=batch.options["record"])
    response = _answer(batch, 202)
    response.headers["Location"] = f"/v1/batches/{id}"
    return response


def _require_lines() -> None:
    if request.mimetype not in _MEDIA_TYPES:
        said = f"{request.mimetype!r}" if request.mimetype else "nothing"
        raise UnsupportedMediaType(f"Content-Type says {said}; send {NDJSON}: a panel document on each line.")
    coding = request.headers.get("Content-Encoding", "identity")
    if coding.lower() != "identity":
        raise UnsupportedMediaType(f"Content-Encoding says {coding!r}; send the body as it is.")


def _spool(spool: IO[bytes]) -> bytes:
    """Write the body to a file as it comes, and return its digest.

    Only when all of it is there anything is done: a request that breaks off, or is a repetition, leaves nothing.
    """
    digest, size, most = hashlib.sha256(), 0, service().settings.max_batch_bytes
    stated = request.content_length
    if stated is not None and stated > most:
        raise RequestEntityTooLarge(_too_large(most))
    for piece in _pieces():
        size += len(piece)
        if size > most:
            raise RequestEntityTooLarge(_too_large(most))
        digest.update(piece)
        try:
            spool.write(piece)
        except OSError as error:
            raise Refusal("store-unavailable", _NO_ROOM, {"Retry-After": str(_NO_ROOM_SECONDS)}) from error
    if stated is not None and size < stated:
        raise BadRequest(_CUT_SHORT)
    if size == 0:
        raise InvalidDocument([Problem("", "no-lines", "is empty; write a panel document on each line")])
    return digest.digest()


def _pieces() -> Iterator[bytes]:
    patience = service().settings.receive_seconds
    while True:
        expect_more(patience)
        try:
            piece = request.stream.read(_PIECE)
        except Exception as error:  # each server has its own for a body that breaks the rules of HTTP
            raise _cut_short() from error
        if not piece:
            return
        yield piece


def _cut_short() -> HTTPException:
    if came_too_late():
        return RequestTimeout("A piece of the body did not come in the time that there is for it. Send it again.")
    return BadRequest(_CUT_SHORT)


_CUT_SHORT: Final = "The body breaks off before its end, or its chunks are malformed. Send it again, whole."

_NO_ROOM: Final = "There is no room for the batch: the disk for temporary files is full. Nothing was kept."
_NO_ROOM_SECONDS: Final = 30


def _too_large(most: int) -> str:
    return f"The body is longer than {most} bytes, which is the most that is taken at once. Send several batches."
