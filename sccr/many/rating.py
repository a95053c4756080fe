"""Many documents rated: each gives its rating or what is wrong with it, and none keeps another from its own."""

import time
import traceback
from collections.abc import Generator
from collections.abc import Iterable
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from itertools import chain
from itertools import islice

from sccr.engine import rate
from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.errors import OutOfTime
from sccr.errors import Problem
from sccr.many.chunks import Chunk
from sccr.many.chunks import Document
from sccr.many.chunks import chunks_of
from sccr.many.executors import Executor
from sccr.many.executors import InThisProcess
from sccr.many.in_time import in_time
from sccr.many.outcome import Outcome
from sccr.many.outcome import Refused
from sccr.many.outcome import covers_available
from sccr.many.outcome import limiting_kinds
from sccr.many.workers import executor
from sccr.many.workers import workers_of
from sccr.result import EXTENTS
from sccr.result import FULL
from sccr.result import Rating
from sccr.schema.catalogue import Catalogue
from sccr.schema.digest import CANONICAL


def rate_many(
    documents: Iterable[Document | Outcome],
    catalogue: Catalogue | None = None,
    *,
    workers: int | str | Executor | None = None,
    derivation: str = FULL,
    first: int = 1,
) -> Iterator[Outcome]:
    """Rate many panel documents; yield what has become of each, in their order.

    They are taken as they are needed, and none is kept: however many there are, they take the memory of a few. Each is
    rated as `rate` does it; a bad one ends nothing. A few are rated in this process, more by others.

    Parameters
    ----------
    documents : iterable of mapping, or JSON text
        Panel documents, such as the lines of a file of NDJSON. An `Outcome` among them is yielded in its turn.
    catalogue : Catalogue, optional
        Where the parts that components name are looked up.
    workers : int, str or Executor, optional
        How many processes rate (0: this one does), or the address of the scheduler of a Dask cluster, such as
        "tls://scheduler.example:8786". By default what SCCR_WORKERS says, else a process a core.
    derivation : str
        "full", "short" or "none": how much of the derivation the results have.
    first : int
        The place of the first document.

    Raises ValueError for a `derivation` or `workers` of no such form, NoWorkers where those cannot be had.

    >>> [(each.line, each.status) for each in rate_many(["{}", "[]"], workers=0)]
    [(1, 'refused'), (2, 'refused')]
    """
    if derivation not in EXTENTS:
        raise ValueError(f"derivation is full, short or none, not {derivation!r}")
    if not isinstance(workers, Executor):
        workers = workers_of(workers)
    return _rated(workers, chunks_of(documents, catalogue, first, derivation=derivation))


def _rated(workers: int | str | Executor, chunks: Iterator[Chunk]) -> Iterator[Outcome]:
    few = [*islice(chunks, 2)]
    with ExitStack() as own:
        by: Executor = InThisProcess()
        if len(few) > 1:  # to start a process takes longer than to rate a few
            by = workers if isinstance(workers, Executor) else own.enter_context(executor(workers))
        for outcomes in rate_chunks(by, chain(few, chunks)):
            yield from outcomes


def rate_chunks(by: Executor, chunks: Iterable[Chunk]) -> Generator[list[Outcome], None, None]:
    """Yield what has become of the documents of each chunk.

    Where a chunk ends whoever rates it, its documents are rated alone: one of them that does so again is given up.
    """

    def alone(chunk: Chunk) -> list[Outcome]:
        if len(chunk.documents) == 1:
            return [_given_up(chunk.first)]
        return [*chain.from_iterable(by.map(rated_chunk, chunk.alone(), _given_up_alone))]

    yield from by.map(rated_chunk, chunks, alone)


def rated_chunk(chunk: Chunk) -> list[Outcome]:
    """Return what becomes of the documents of a chunk. It needs nothing but the chunk."""
    return [
        replace(each, line=place) if isinstance(each, Outcome) else _outcome(place, each, chunk)
        for place, each in enumerate(chunk.documents, chunk.first)
    ]


def _outcome(line: int, document: Document, chunk: Chunk) -> Outcome:
    began = time.perf_counter()

    def work() -> Outcome:
        return _of_rating(line, rate(document, chunk.catalogue), chunk.derivation)

    try:
        found = work() if chunk.seconds is None else in_time(chunk.seconds, work)
    except MalformedJson as error:
        found = _refused(line, "malformed-json", error, (Problem("", "malformed-json", str(error)),))
    except InvalidDocument as error:
        found = _refused(line, "invalid-document", error, error.problems)
    except OutOfTime as error:
        found = _refused(line, "out-of-time", error)
    except Exception as error:  # a fault of the engine on this document must not keep the others from theirs
        found = Outcome(line, "refused", refused=failure(error))
    return replace(found, seconds=time.perf_counter() - began)


def _refused(line: int, code: str, error: Exception, problems: tuple[Problem, ...] = ()) -> Outcome:
    return Outcome(line, "refused", refused=Refused(code, str(error), problems))


def failure(error: Exception) -> Refused:
    """Return how a document is refused on which the engine, or whoever called it, fails."""
    return Refused("internal-error", f"the engine failed: {error!r}", cause="".join(traceback.format_exception(error)))


def _of_rating(line: int, rating: Rating, derivation: str) -> Outcome:
    text = CANONICAL.encode(rating.as_dict(derivation))
    return Outcome(line, rating.status, text, adequate=covers_available(rating), limiting_kinds=limiting_kinds(rating))


def _given_up_alone(chunk: Chunk) -> list[Outcome]:
    return [_given_up(chunk.first)]


def _given_up(line: int) -> Outcome:
    """Return what becomes of a document from which nobody came back."""
    told = "it ended the process that rated it, again and again, as one does that takes more memory than there is"
    return Outcome(line, "refused", refused=Refused("line-given-up", told))
