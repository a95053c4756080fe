"""A panel of the fleet as a line of a batch, to be rated by whoever works on batches."""

import json
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from typing import Any
from typing import Final

from sccr.impact import unknown
from sccr.many import Executor

from ..service import service
from ..store import ClaimedLine
from ..store import FinishedLine
from ..store.canonical import parsed
from .chunks import chunk_of
from .chunks import place_of
from .entries import Entry
from .entries import entry_of
from .proposal import Proposal
from .rating import Chunk
from .rating import rate_chunks
from .touched import Touched

#: What stands for the result of a panel that stays as it is.
_NOTHING: Final = "{}"


def line_of(proposal: Proposal, touched: Touched) -> bytes:
    """Return a panel as a line: where it is, the parts that it names, and how those are to be that differ."""
    parts = touched.panel.parts
    differing = {part: proposal.parts[part] for part in parts if part in proposal.parts}
    told = {"place": place_of(touched), "parts": parts, "differing": differing}
    return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()


def rated_panels(groups: Sequence[Sequence[ClaimedLine]], by: Executor) -> Iterator[list[FinishedLine]]:
    """Yield what becomes of the panels of each group of lines, which are of one run; in the context of the application.

    Raises Unavailable where the database does not answer, and NoWorkers where nobody rates.
    """
    with closing(rate_chunks(by, map(_chunk, groups))) as rated:
        for lines, entries in zip(groups, rated, strict=True):
            yield [_finished(line, entry) for line, entry in zip(lines, entries, strict=True)]


def failed_panel(claimed: ClaimedLine, reason: str) -> FinishedLine:
    """Return what becomes of the panel of a line that could not be rated, for a reason that is the service's."""
    place: Mapping[str, Any] = json.loads(claimed.input)["place"]
    _, result = service().store.record_texts([place["record"]])[place["record"]]
    return _finished(claimed, entry_of(place, unknown(parsed(result), reason)))


def _chunk(lines: Sequence[ClaimedLine]) -> Chunk:
    """Return the panels of lines of one run with all that it takes to rate them, which needs no store then."""
    options = lines[0].options
    told = [json.loads(line.input) for line in lines]
    differing = {part: document for each in told for part, document in each["differing"].items()}
    proposal = Proposal(options["catalogue_version"], differing, {}, options["run"]["catalogue_digest"])
    named = {part for each in told for part in each["parts"]}
    chunk = chunk_of(service().store, proposal, [each["place"] for each in told], named)
    return replace(chunk, seconds=service().settings.work_seconds)


def _finished(claimed: ClaimedLine, entry: Entry) -> FinishedLine:
    return FinishedLine(claimed.batch, claimed.line, entry.text or _NOTHING, entry.failed, place=entry.place)
