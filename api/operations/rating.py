"""Ratings as the service gives them: in the time that there is for it, and counted."""

import time
from collections.abc import Mapping
from typing import Any

from sccr import Catalogue
from sccr import EditionRatings
from sccr import Rating
from sccr import rate
from sccr import rate_editions

from ..service import service
from .in_time import in_time
from .metrics import metrics


def rate_in_time(document: Mapping[str, Any] | str | bytes, catalogue: Catalogue | None) -> Rating:
    """Rate a document, as `sccr.rate` does, and count it.

    Raises what that raises, and Refusal (503, out-of-time) where it takes longer than `Settings.work_seconds`. It may
    be stopped anywhere: a catalogue that looks parts up in a store has to have fetched them before.
    """
    began = time.perf_counter()
    rating = in_time(service().settings.work_seconds, lambda: rate(document, catalogue))
    metrics().rated(rating, time.perf_counter() - began)
    return rating


def rate_editions_in_time(document: Mapping[str, Any] | str | bytes, catalogue: Catalogue | None) -> EditionRatings:
    """Rate a document by each of its editions, as `sccr.rate_editions` does, and count each rating.

    Raises as `rate_in_time` does; the time is that for all of them together.
    """
    began = time.perf_counter()
    found = in_time(service().settings.work_seconds, lambda: rate_editions(document, catalogue))
    seconds = (time.perf_counter() - began) / len(found.ratings)
    for rating in found.ratings:
        metrics().rated(rating, seconds)
    return found
