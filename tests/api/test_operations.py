"""What the service counts, and the limits of load and time, in the application."""

import json
import logging
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families

from api import create_app
from api.access import public
from api.health import add_check
from api.logs import JsonLines
from api.operations import in_time
from api.operations.load import waited
from api.refusals import Refusal
from api.settings import Settings

from .conftest import CATALOGUE
from .conftest import PANELS


def counted(client: FlaskClient) -> dict[tuple[str, tuple[str, ...]], float]:
    """Return what an application has counted: by name, and the values of the labels in the order of their names."""
    response = client.get("/metrics")
    assert response.status_code == 200
    assert response.content_type == "text/plain; version=0.0.4; charset=utf-8"
    return {
        (sample.name, tuple(value for _, value in sorted(sample.labels.items()))): sample.value
        for family in text_string_to_metric_families(response.text)
        for sample in family.samples
    }


class TestMetrics:
    @pytest.fixture
    def client(self) -> FlaskClient:
        return create_app(Settings(catalogue=CATALOGUE)).test_client()

    def test_requests_by_method_route_and_class_of_status(self, client: FlaskClient) -> None:
        for _ in range(3):
            client.get("/problems/not-found")
        client.get("/problems/oops")
        client.get("/somewhere/else")
        client.open("/v1/editions", method="BREW")
        found = counted(client)
        assert found["sccr_requests_total", ("GET", "/problems/<slug>", "2xx")] == 3
        assert found["sccr_requests_total", ("GET", "/problems/<slug>", "4xx")] == 1
        assert found["sccr_requests_total", ("GET", "none", "4xx")] == 1
        assert found["sccr_requests_total", ("other", "none", "4xx")] == 1
        assert found["sccr_request_seconds_count", ("GET", "/problems/<slug>")] == 4
        assert found["sccr_requests_under_way", ()] == 1  # the one that asks

    def test_nothing_that_a_caller_writes_becomes_a_label(self, client: FlaskClient) -> None:
        series = []
        for number in range(50):
            client.open(f"/nowhere/{number}", method=f"M{number}", headers={"X-Request-Id": f"r{number}"})
            series.append(len(counted(client)))
        assert series[1:] == series[1:2] * 49

    def test_problems_by_kind(self, client: FlaskClient, starter: dict[str, Any]) -> None:
        client.post("/v1/ratings", data=b"{", content_type="application/json")
        client.post("/v1/ratings", json={**starter, "components": []})
        found = counted(client)
        assert found["sccr_problems_total", ("malformed-json",)] == 1
        assert found["sccr_problems_total", ("invalid-document",)] == 1

    def test_ratings_by_outcome_and_by_the_kind_that_limits(self, client: FlaskClient) -> None:
        expected: dict[tuple[str, str], int] = {}
        kinds: dict[str, int] = {}
        for panel in PANELS:
            rating = json.loads(client.post("/v1/ratings", json=json.loads(panel.read_bytes())).data)
            adequate = {True: "yes", False: "no", None: "unknown"}[rating["adequacy"]["adequate"]]
            expected[adequate, rating["status"]] = expected.get((adequate, rating["status"]), 0) + 1
            of = {component["id"]: component["kind"] for component in rating["components"]}
            for kind in {of[limit["component"]] for limit in rating["limited_by"]}:
                kinds[kind] = kinds.get(kind, 0) + 1
        found = counted(client)
        assert {labels: n for (name, labels), n in found.items() if name == "sccr_ratings_total"} == expected
        assert {labels[0]: n for (name, labels), n in found.items() if name == "sccr_ratings_limited_total"} == kinds
        assert found["sccr_rating_seconds_count", ()] == len(PANELS)

    def test_each_application_counts_for_itself(self, client: FlaskClient) -> None:
        client.get("/v1/editions")
        assert ("sccr_requests_total", ("GET", "/v1/editions", "2xx")) not in counted(create_app().test_client())


class TestReadiness:
    @pytest.mark.parametrize(("state", "status"), [(True, 200), (False, 503), (OSError("secret"), 503)])
    def test_a_check_of_its_own_can_be_added(self, state: bool | Exception, status: int) -> None:
        def check() -> bool:
            if isinstance(state, Exception):
                raise state
            return state

        app = create_app()
        add_check(app, "tape", check)
        response = app.test_client().get("/health/ready")
        assert response.status_code == status
        assert json.loads(response.data)["checks"]["tape"] == ("pass" if status == 200 else "fail")
        assert "secret" not in response.text
        assert "tape" not in json.loads(create_app().test_client().get("/health/ready").data)["checks"]


class TestTheLog:
    def test_every_line_of_a_request_names_it(self, caplog: pytest.LogCaptureFixture) -> None:
        app = create_app()
        written: list[dict[str, Any]] = []

        class Kept(logging.Handler):
            def emit(self, record: logging.LogRecord) -> None:
                written.append(json.loads(JsonLines().format(record)))

        other = logging.getLogger("a library")
        other.addHandler(Kept())
        app.add_url_rule("/chatty", "chatty", public(lambda: other.warning("hm") or ""))
        trace = "4bf92f3577b34da6a3ce929d0e0e4736"
        app.test_client().get(
            "/chatty", headers={"X-Request-Id": "order-4711", "traceparent": f"00-{trace}-00f067aa0ba902b7-01"}
        )
        other.warning("afterwards")
        assert (written[0]["request_id"], written[0]["trace_id"]) == ("order-4711", trace)
        assert "request_id" not in written[1]


class Held:
    """An application with a request that can be kept under way."""

    def __init__(self, settings: Settings) -> None:
        self.app = create_app(settings)
        self.client = self.app.test_client()
        self._entered, self._leave = threading.Event(), threading.Event()
        self.app.add_url_rule("/held", "held", public(lambda: self._wait()))

    def _wait(self) -> str:
        self._entered.set()
        assert self._leave.wait(30)
        return ""

    @contextmanager
    def under_way(self) -> Iterator[None]:
        """Have a request under way that does not end before the block does."""
        thread = threading.Thread(target=lambda: self.app.test_client().get("/held"))
        thread.start()
        try:
            assert self._entered.wait(30)
            yield
        finally:
            self._leave.set()
            thread.join()


class TestTheLimitOfLoad:
    def test_more_at_once_than_is_taken_is_503(self) -> None:
        held = Held(Settings(most_at_once=1))
        client = held.client
        with held.under_way():
            refused = client.get("/v1/editions")
            assert refused.status_code == 503
            assert json.loads(refused.data)["type"] == "/problems/busy"
            assert refused.headers["Retry-After"] == "2"
            assert client.get("/health/live").status_code == 200
            assert client.get("/metrics").status_code == 200
        assert client.get("/v1/editions").status_code == 200

    def test_what_is_refused_or_fails_is_not_counted_for_ever(self) -> None:
        held = Held(Settings(most_at_once=2))
        client = held.client

        def fail() -> str:
            raise RuntimeError

        held.app.add_url_rule("/fails", "fails", public(fail))
        for path in ("/fails", "/nowhere", "/v1/ratings", "/fails", "/v1/editions"):
            assert client.get(path).status_code != 503
        with held.under_way():
            assert client.get("/v1/editions").status_code == 200

    def test_what_has_waited_too_long_is_503(self) -> None:
        client = create_app(Settings(wait_seconds=5)).test_client()
        token = waited.set(5.5)
        try:
            refused = client.get("/v1/editions")
            assert (refused.status_code, json.loads(refused.data)["type"]) == (503, "/problems/busy")
            assert client.get("/health/live").status_code == 200
        finally:
            waited.reset(token)
        assert client.get("/v1/editions").status_code == 200


def spin(seconds: float) -> str:
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        pass
    return "done"


class TestTheLimitOfTime:
    @pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # where the stroke hits a finaliser
    def test_a_rating_that_takes_too_long_is_503_and_the_next_is_not(self, starter: dict[str, Any]) -> None:
        client = create_app(Settings(work_seconds=0.0)).test_client()
        many = [
            {**starter["components"][0], "id": f"-FC{n}", "fed_from": f"-FC{n - 1}" if n else "MAINS"}
            for n in range(6000)
        ]
        large = {**starter, "supplies": [{**starter["supplies"][0], "id": "MAINS"}], "components": many}
        refused = client.post("/v1/ratings", json=large)
        assert refused.status_code == 503, refused.text[:500]
        assert json.loads(refused.data)["type"] == "/problems/out-of-time"
        assert int(refused.headers["Retry-After"]) > 0
        assert create_app().test_client().post("/v1/ratings", json=large).status_code == 200

    def test_work_that_never_ends_is_stopped_where_it_stands(self) -> None:
        began = time.monotonic()
        with pytest.raises(Refusal) as refused:
            in_time(0.1, lambda: spin(60))
        assert time.monotonic() - began < 50
        assert refused.value.kind.slug == "out-of-time"

    def test_work_that_takes_exceptions_for_its_own_is_stopped_too(self) -> None:
        def stubborn() -> None:
            for _ in range(500):
                try:
                    spin(0.01)
                except Exception:
                    continue

        with pytest.raises(Refusal):
            in_time(0.1, stubborn)

    def test_what_the_work_returns_or_raises_comes_through(self) -> None:
        def fail() -> None:
            raise KeyError("its own")

        assert in_time(5, lambda: spin(0.01)) == "done"
        with pytest.raises(KeyError, match="its own"):
            in_time(5, fail)

    def test_a_stroke_that_falls_into_a_finaliser_is_repeated(self) -> None:
        """Python ignores what is raised there."""

        def unlucky() -> None:
            try:
                spin(60)
            except BaseException:
                spin(60)

        began = time.monotonic()
        with pytest.raises(Refusal):
            in_time(0.1, unlucky)
        assert time.monotonic() - began < 50

    def test_work_that_swallows_the_stroke_ends_all_the_same(self) -> None:
        def deaf() -> str:
            try:
                return spin(5)
            except BaseException:
                return "deaf"

        assert in_time(0.1, deaf) == "deaf"

    def test_work_that_ends_as_its_time_does_is_struck_within_or_never(self) -> None:
        """The stroke must not hit what the thread does next: that would fail another request."""
        outcomes = []
        for number in range(120):
            try:
                outcomes.append(in_time(0.05, lambda: spin(0.04 + 0.07 * (number % 12) / 12)))  # noqa: B023
            except Refusal:
                outcomes.append("stopped")
            spin(0.002)
        spin(0.2)
        assert set(outcomes) == {"done", "stopped"}

    def test_threads_are_stopped_each_at_its_own_time(self) -> None:
        outcomes: dict[float, str] = {}

        def run(seconds: float) -> None:
            try:
                outcomes[seconds] = in_time(seconds, lambda: spin(1.5))
            except Refusal:
                outcomes[seconds] = "stopped"

        threads = [threading.Thread(target=run, args=(seconds,)) for seconds in (0.1, 0.3, 30.0)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert outcomes == {0.1: "stopped", 0.3: "stopped", 30.0: "done"}
