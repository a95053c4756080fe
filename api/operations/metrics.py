"""What the service counts, and where Prometheus fetches it.

Labels take values from short lists only: the template of a route, never an address; the class of a status.
"""

import time
from collections.abc import Iterable
from typing import ClassVar
from typing import Final

from flask import Blueprint
from flask import Flask
from flask import Response
from flask import current_app
from flask import g
from flask import request
from prometheus_client import CollectorRegistry
from prometheus_client import Counter
from prometheus_client import Gauge
from prometheus_client import Histogram
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4
from prometheus_client.exposition import generate_latest
from prometheus_client.multiprocess import MultiProcessCollector

import sccr
from sccr import Rating
from sccr.many.outcome import covers_available
from sccr.many.outcome import limiting_kinds

from ..access.roles import Role
from ..access.roles import require
from .shared import folder

_SECONDS: Final = (0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0)
_ADEQUATE: Final = {True: "yes", False: "no", None: "unknown"}
_METHODS: Final = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})

blueprint = Blueprint("metrics", __name__)


class Metrics:
    """What one application counts, alone or together with its other processes."""

    NAME: ClassVar[str] = "sccr.metrics"

    def __init__(self) -> None:
        own = CollectorRegistry()
        self._folder = folder()
        self._own = own
        labels = ("method", "route")
        self.requests = Counter("sccr_requests", "Requests answered.", (*labels, "status"), registry=own)
        self.seconds = Histogram("sccr_request_seconds", "Until answered.", labels, buckets=_SECONDS, registry=own)
        self.under_way = Gauge("sccr_requests_under_way", "Now.", multiprocess_mode="livesum", registry=own)
        self.problems = Counter("sccr_problems", "Problems answered, by kind.", ("type",), registry=own)
        self.ratings = Counter("sccr_ratings", "Panels rated, by outcome.", ("status", "adequate"), registry=own)
        self.limits = Counter("sccr_ratings_limited", "Ratings, by the kind of part.", ("kind",), registry=own)
        self.repeated = Counter("sccr_ratings_repeated", "Of those, answered as before.", registry=own)
        self.rating_seconds = Histogram("sccr_rating_seconds", "For a rating.", buckets=_SECONDS, registry=own)
        build = Gauge("sccr_build", "The engine, as a label.", ("version",), multiprocess_mode="max", registry=own)
        build.labels(sccr.__version__).set(1)

    def rated(self, rating: Rating, seconds: float) -> None:
        """Count a rating that took so many seconds."""
        self.counted(rating.status, covers_available(rating), limiting_kinds(rating), seconds)

    def counted(self, status: str, adequate: bool | None, kinds: Iterable[str], seconds: float) -> None:
        """Count a rating by its status, whether it covers what is available, and the kinds of what limits it."""
        self.rating_seconds.observe(seconds)
        self._outcome(status, adequate, kinds)

    def answered_again(self, status: str, adequate: bool | None, kinds: Iterable[str]) -> None:
        """Count a rating that was answered as it was before, without being made again."""
        self.repeated.inc()
        self._outcome(status, adequate, kinds)

    def _outcome(self, status: str, adequate: bool | None, kinds: Iterable[str]) -> None:
        self.ratings.labels(status, _ADEQUATE[adequate]).inc()
        for kind in kinds:
            self.limits.labels(kind).inc()

    def exposition(self) -> bytes:
        """Return everything that was counted, as Prometheus reads it."""
        if self._folder is None:
            return generate_latest(self._own)
        together = CollectorRegistry()
        MultiProcessCollector(together, str(self._folder))  # type: ignore[no-untyped-call]
        return generate_latest(together)


def observe(app: Flask) -> None:
    """Count the requests of the application."""
    app.extensions[Metrics.NAME] = Metrics()
    app.before_request(_begin)
    app.after_request(_count)
    app.teardown_request(_end)


def metrics() -> Metrics:
    """Return what this application counts."""
    found = current_app.extensions[Metrics.NAME]
    assert isinstance(found, Metrics)
    return found


@blueprint.get("/metrics")
@require(Role.READ)
def read_metrics() -> Response:
    """Return everything that was counted."""
    return Response(metrics().exposition(), content_type=CONTENT_TYPE_PLAIN_0_0_4)


def _begin() -> None:
    g.began_at = time.perf_counter()
    metrics().under_way.inc()


def _count(response: Response) -> Response:
    method = request.method if request.method in _METHODS else "other"
    route = request.url_rule.rule if request.url_rule else "none"
    counted = metrics()
    counted.requests.labels(method, route, f"{response.status_code // 100}xx").inc()
    counted.seconds.labels(method, route).observe(time.perf_counter() - g.began_at)
    if "problem" in g:
        counted.problems.labels(g.problem).inc()
    return response


def _end(_: BaseException | None) -> None:
    if g.pop("began_at", None) is not None:
        metrics().under_way.dec()
