"""The lines of batches: rated by whoever rates, or told what is wrong with them as requests of their own would be."""

import logging
from collections.abc import Generator
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Sequence
from contextlib import closing
from itertools import groupby
from typing import Any
from typing import Final

from sccr.errors import NoWorkers
from sccr.errors import Problem
from sccr.many import Executor
from sccr.many import Outcome
from sccr.many import Refused
from sccr.many.chunks import Chunk
from sccr.many.chunks import as_named
from sccr.many.chunks import named_in
from sccr.many.rating import failure
from sccr.many.rating import rate_chunks
from sccr.result import FULL
from sccr.schema.strict_json import decode

from ..answers import written
from ..fleet.lines import failed_panel
from ..fleet.lines import rated_panels
from ..line_results import rated_line
from ..line_results import refused_line
from ..line_results import told_of
from ..operations import metrics
from ..operations.in_time import out_of_time
from ..problem_types import PROBLEM_TYPES
from ..problem_types import ProblemType
from ..service import service
from ..store import IMPACTS
from ..store import ClaimedLine
from ..store import FinishedLine
from ..store import NewRecord
from ..store import Unavailable
from ..stored_ratings import with_derivation
from .options import Options

_LOG: Final = logging.getLogger("sccr.service")
#: So many workers may end on a line; then it is told so, and lent to no other.
_ATTEMPTS: Final = 3
#: So many lines go to a cluster at once at most.
_CHUNK: Final = 200


def finished(claimed: Sequence[ClaimedLine], by: Executor) -> Generator[FinishedLine, None, None]:
    """Yield what becomes of each line, in order; within the context of the application.

    Raises Unavailable where the database does not answer, and NoWorkers where nobody rates: then nothing is known.
    """
    for of_fleet, lines in groupby(claimed, lambda line: line.kind == IMPACTS):
        some = [*lines]
        yield from _panels_of_fleet(some, by) if of_fleet else _ratings(some, by)


def broken(claimed: ClaimedLine, error: Exception) -> FinishedLine:
    """Return what becomes of a line on which the service fails, and log why."""
    _LOG.error("line failed", exc_info=error, extra={"fields": _place(claimed)})
    return _failed(claimed, PROBLEM_TYPES["internal-error"], _OF_SERVICE)


_OF_SERVICE: Final = "The service failed on this line; the log holds the cause."


def _ratings(claimed: Sequence[ClaimedLine], by: Executor) -> Iterator[FinishedLine]:
    groups = list(_groups(claimed, _size(len(claimed), by.at_once)))
    with closing(rate_chunks(by, map(_chunk, groups))) as rated:  # else others would go on for nobody
        for lines, outcomes in zip(groups, rated, strict=True):
            yield from map(_finished, lines, outcomes)


def _size(lines: int, at_once: int) -> int:
    """Return how many lines go at once: one where this process rates, which may be told to stop after each."""
    return 1 if at_once == 1 else min(_CHUNK, -(-lines // (2 * at_once)))


def _groups(claimed: Sequence[ClaimedLine], size: int) -> Iterator[list[ClaimedLine]]:
    """Yield the lines in groups of one batch each: the lines of a batch have one version of the catalogue."""
    for _, lines in groupby(claimed, lambda line: line.batch):
        waiting = [*lines]
        while waiting:
            yield waiting[:size]
            del waiting[:size]


def _chunk(lines: Sequence[ClaimedLine]) -> Chunk:
    """Return lines of one batch with all that it takes to rate them, which needs no store then."""
    documents, catalogue, options = [_document(line) for line in lines], None, Options.of(lines[0].options)
    try:
        version = options.catalogue_version
        stored = None if version is None else service().store.catalogue(version)
        if stored is not None:
            stored.stored.fetch(named_in(documents))
            catalogue = as_named(stored, documents)
    except Unavailable:
        raise
    except Exception as error:  # nobody is to try it again and again
        documents = [Outcome(0, "refused", refused=failure(error))] * len(lines)
    extent = FULL if options.record else options.derivation  # a record keeps all of it
    return Chunk(1, tuple(documents), catalogue, extent, seconds=service().settings.work_seconds)


def _document(line: ClaimedLine) -> bytes | Outcome:
    """Return the document of a line, or what becomes of one that is not rated at all."""
    most = service().settings.max_body_bytes
    if line.attempt > _ATTEMPTS:
        return Outcome(0, "refused", refused=_given_up(line))
    if len(line.input) > most:
        told = f"the line is longer than {most} bytes, which is the most that is read"
        return Outcome(0, "refused", refused=Refused("line-too-long", told))
    return line.input


def _given_up(line: ClaimedLine) -> Refused:
    """Return why a line is not tried again from which no worker came back, and log it."""
    _LOG.error("line given up", extra={"fields": {**_place(line), "attempts": line.attempt - 1}})
    told = f"this line ended the process that rated it, {line.attempt - 1} times, as one does that takes more memory "
    return Refused("line-given-up", f"{told}than there is. It is not tried again")


def _finished(line: ClaimedLine, outcome: Outcome) -> FinishedLine:
    """Return what becomes of a line, from what has become of its document."""
    if outcome.refused is not None:
        return _failed(line, *_told(line, outcome.refused))
    assert outcome.text is not None  # it has a rating
    metrics().counted(outcome.status, outcome.adequate, outcome.limiting_kinds, outcome.seconds)
    options, text, id, record = Options.of(line.options), outcome.text, None, None
    if options.record:
        id = service().store.new_id()
        result = decode(text)
        record = NewRecord(decode(line.input), result, options.asked_by, options.catalogue_version, id=id)
        if options.derivation != FULL:
            text = written(with_derivation(result, options.derivation))
    return FinishedLine(line.batch, line.line, rated_line(line.line, text, id).decode(), record=record)


def _told(line: ClaimedLine, refused: Refused) -> tuple[ProblemType, str, tuple[Problem, ...]]:
    """Return what is told of a refusal: of what is the fault of the service, no more than that."""
    kind, detail, errors = told_of(refused)
    if refused.code == "internal-error":
        _LOG.error("line failed", extra={"fields": {**_place(line), "traceback": refused.cause}})
        return kind, _OF_SERVICE, ()
    if refused.code == "out-of-time":
        return kind, out_of_time(refused.detail), ()
    return kind, detail, errors


def _panels_of_fleet(claimed: Sequence[ClaimedLine], by: Executor) -> Iterator[FinishedLine]:
    if claimed[0].attempt > _ATTEMPTS:  # one that was lent in vain is lent alone
        yield from (_failed(line, *_told(line, _given_up(line))) for line in claimed)
        return
    begun = 0
    try:
        for some in rated_panels(list(_groups(claimed, _size(len(claimed), by.at_once))), by):
            begun += len(some)
            yield from some
    except (Unavailable, NoWorkers):
        raise
    except Exception as error:  # nobody is to try them again and again
        yield from (broken(line, error) for line in claimed[begun:])


def _failed(claimed: ClaimedLine, kind: ProblemType, detail: str, errors: Iterable[Problem] = ()) -> FinishedLine:
    if claimed.kind == IMPACTS:
        return failed_panel(claimed, detail)
    instance = f"/v1/batches/{claimed.batch}/results?after={claimed.line - 1}&limit=1"
    request_id = Options.of(claimed.options).request_id
    text = refused_line(claimed.line, kind, detail, errors, instance=instance, request_id=request_id)
    return FinishedLine(claimed.batch, claimed.line, text.decode(), failed=True)


def _place(claimed: ClaimedLine) -> dict[str, Any]:
    """Return the fields of the log that say which line is meant."""
    options = Options.of(claimed.options)
    return {"request_id": options.request_id, "batch": claimed.batch, "line": claimed.line}
