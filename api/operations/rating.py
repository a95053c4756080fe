"""A rating as the service gives it: in the time that there is for it, and counted."""

import time
from collections.abc import Mapping
from typing import Any

from sccr import Catalogue
from sccr import Rating
from sccr import rate

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
