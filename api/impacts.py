"""Impacts: what a changed catalogue, or the engine of today, makes of the stored panels. Nothing of it changes them.

What touches a few panels is answered at once. What touches many becomes a run that is worked on as a batch is: its
state tells how far it is, and its results come in pages, the worst first.
"""

import json
import re
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from contextlib import suppress
from functools import partial
from itertools import chain
from itertools import islice
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import NotFound

from sccr.impact import Outcome
from sccr.many.executors import InThisProcess
from sccr.many.executors import Item
from sccr.many.executors import Result
from sccr.many.lines import groups_of

from .access import Role
from .access import audit
from .access import caller
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .fleet.asking import asked_of
from .fleet.entries import RANKS
from .fleet.entries import SPREAD
from .fleet.entries import counts_of
from .fleet.ledger import Ledger
from .fleet.lines import line_of
from .fleet.run import FORMAT
from .fleet.run import Run
from .fleet.touched import Touched
from .idempotency import Settle
from .idempotency import once_if_asked
from .operations import in_time
from .paging import asked_page
from .parameters import flag
from .parameters import one_of
from .parameters import parameters
from .rated import read_object
from .requests import request_id
from .service import service
from .store import IMPACTS
from .store import Batch
from .store import StoreError
from .webhook_events import announce_end
from .work.options import Options

blueprint = Blueprint("impacts", __name__, url_prefix="/v1/impacts")

#: So many panels are rated while the caller waits.
_AT_ONCE: Final = 100
_STATES: Final = ("receiving", "queued", "running", "done", "failed", "cancelled")
_ENDED: Final = frozenset({"done", "failed", "cancelled"})
_PLACES: Final = re.compile(r"[0-9]{1,18}-[0-9]{1,10}")
_OUTCOMES: Final = {outcome.value: outcome for outcome in Outcome if outcome is not Outcome.UNCHANGED}
_RETRY_SECONDS: Final = "1"
_ASYNC: Final = "respond-async"


@blueprint.post("")
@require(Role.RATE)
def create_impact() -> Response:
    """Hold the fleet against a change: answered at once, or a run of which the results come later."""
    require_acceptable()
    parameters({})
    body = json_body(service().settings.max_import_bytes)

    def prepare() -> Settle:
        asked = asked_of(read_object(body))
        store = service().store
        run = Run.over(store, asked.propose(store), asked.scope)
        panels = run.panels()
        first = list(islice(panels, _AT_ONCE + 1))
        if len(first) <= _AT_ONCE and not _prefers_async():
            report = _report(run, first)
            return lambda: as_json(report)
        begun = _begun(run, chain(first, panels))
        return lambda: _sealed(begun, run)

    return once_if_asked(body, prepare)


@blueprint.get("")
@require(Role.READ)
def list_impacts() -> Response:
    """List the runs, the newest first: all, or those in a state."""
    require_acceptable()
    asked = asked_page({"state": one_of(_STATES)})
    page = service().store.batches(asked.after, asked.limit, state=asked.filters["state"], kind=IMPACTS)
    return asked.page("runs", [_resource(batch) for batch in page.items], page.next)


@blueprint.get("/<name:impact>")
@require(Role.READ)
def get_impact(impact: str) -> Response:
    """Return a run: its state, and what it has found so far, in numbers."""
    require_acceptable()
    parameters({})
    return _answer(_run(impact))


@blueprint.delete("/<name:impact>")
@require(Role.RATE)
def cancel_impact(impact: str) -> Response:
    """Cancel a run; what it has found stays. One that has ended stays as it is."""
    require_acceptable()
    parameters({})
    store = service().store
    with store.transaction():
        found = _run(impact)
        cancelled = store.cancel_batch(impact)
        if found.state not in _ENDED and cancelled.state == "cancelled":
            announce_end(store, cancelled)
            audit("impact.cancel", impact, done=cancelled.done, lines=cancelled.lines)
    return _answer(cancelled)


@blueprint.get("/<name:impact>/results")
@require(Role.READ)
def get_impact_results(impact: str) -> Response:
    """Return the panels that change, the worst first: all, or those with an outcome, or that were shipped or not."""
    require_acceptable()
    asked = asked_page({"outcome": one_of(_OUTCOMES), "shipped": flag}, _PLACES)
    found = _run(impact)
    after = None if asked.after is None else asked.after.split("-")
    page = service().store.placed_results(
        found.id,
        None if after is None else (int(after[0]), int(after[1])),
        asked.limit,
        list(_places(asked.filters["outcome"], asked.filters["shipped"])),
    )
    return asked.page("impacts", [json.loads(each.result) for each in page.items], page.next)


class _InTime(InThisProcess):
    """Rates in this process, each chunk in the time that there is for an answer; a chunk is read before that."""

    def map(
        self,
        function: Callable[[Item], Result],
        items: Iterable[Item],
        lost: Callable[[Item], Result] | None = None,
    ) -> Iterator[Result]:
        """Yield what comes of each item. Raises Refusal (503, out-of-time)."""
        seconds = service().settings.work_seconds
        return (in_time(seconds, partial(function, each)) for each in items)


def _prefers_async() -> bool:
    """Whether the caller would rather have a run than wait (RFC 7240)."""
    return _ASYNC in [each.partition(";")[0].strip().lower() for each in request.headers.get("Prefer", "").split(",")]


def _report(run: Run, panels: list[Touched]) -> dict[str, Any]:
    """Return what becomes of a few panels."""
    with Ledger() as ledger:
        for _ in run.rate(ledger, _InTime(), panels):
            pass
        return {**run.summary(ledger), "impacts": [json.loads(text) for text in ledger.worst_first()]}


def _begun(run: Run, panels: Iterable[Touched]) -> Batch:
    """Write the panels that are to be rated into the store, as the lines of a batch that is not worked on yet."""
    store = service().store
    options = Options(caller().signature, request_id(), False, run.proposal.base, run.told())
    batch = store.create_batch(options.asked_by, options.as_dict(), IMPACTS)
    try:
        for group in groups_of(line_of(run.proposal, each) for each in panels):
            store.add_lines(batch.id, group)
    except BaseException:
        with suppress(StoreError):  # then it is given up by its age
            store.fail_batch(batch.id, "the panels could not be found")
        raise
    return batch


def _sealed(begun: Batch, run: Run) -> Response:
    store = service().store
    told = {**run.told(), "stored": run.stored, "touched": run.touched}
    with store.transaction():
        batch = store.seal(begun.id, {**begun.options, "run": told})
        audit("impact.create", batch.id, lines=batch.lines, scope=run.scope)
        if batch.state in _ENDED:  # there was nothing to do
            announce_end(store, batch)
    response = _answer(batch, 202)
    response.headers["Location"] = f"/v1/impacts/{batch.id}"
    if _prefers_async():
        response.headers["Preference-Applied"] = _ASYNC
    return response


def _run(id: str) -> Batch:
    found = service().store.batch(id, IMPACTS)
    if found is None:
        raise NotFound("There is no run over the fleet of this id.")
    return found


def _answer(batch: Batch, status: int = 200) -> Response:
    response = as_json(_resource(batch), status)
    response.vary.add("Accept")
    if batch.state not in _ENDED:
        response.headers["Retry-After"] = _RETRY_SECONDS
    return response


def _resource(batch: Batch) -> dict[str, Any]:
    """Return a run as it is answered."""
    address = f"/v1/impacts/{batch.id}"
    told = dict(Options.of(batch.options).run or {})
    counted = {"stored": told.pop("stored", None), "touched": told.pop("touched", None)}
    ranks = service().store.placed_counts(batch.id, SPREAD)
    return {
        "format": FORMAT,
        "id": batch.id,
        "state": batch.state,
        "total": batch.total,
        "done": batch.done,
        "failed": batch.failed,
        **told,
        "counts": {**counted, **counts_of(ranks, batch.done)},
        "created_at": batch.created_at,
        "created_by": batch.by,
        "ended_at": batch.finished_at,
        "reason": batch.reason,
        "links": {"self": address, "results": f"{address}/results"},
    }


def _places(outcome: Outcome | None, shipped: bool | None) -> Iterator[tuple[int, int]]:
    """Yield the bounds of the places of those classes that are asked for; none where all are."""
    if outcome is None and shipped is None:
        return
    for rank, (of, was_shipped) in enumerate(RANKS):
        if outcome in (None, of) and shipped in (None, was_shipped):
            yield rank * SPREAD, (rank + 1) * SPREAD
