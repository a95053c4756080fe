"""The lines of batches rated by a real cluster: as by the service, each once, whatever happens to the cluster."""

import json
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import requests
from click.testing import CliRunner

import sccr
from api.command_line import main
from api.store import open_store
from tests.api.conftest import CATALOGUE
from tests.many.dask_cluster import cluster
from tests.many.panels import as_text
from tests.many.panels import documents

from .serving import NDJSON
from .serving import eventually
from .serving import started

LINES = 300


@pytest.fixture(scope="module")
def panels() -> list[dict[str, Any]]:
    return documents(LINES)


@pytest.fixture(scope="module")
def expected(panels: list[dict[str, Any]]) -> list[bytes]:
    catalogue = sccr.Catalogue.from_document(CATALOGUE.read_bytes())
    return [as_text(sccr.rate(panel, catalogue).as_dict()) for panel in panels]


@pytest.fixture
def database(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'own.db'}"


def post(url: str, panels: list[Any]) -> str:
    body = "\n".join(map(json.dumps, panels)).encode()
    taken = requests.post(f"{url}/v1/batches?record=true", data=body, headers=NDJSON, timeout=60)
    assert taken.status_code == 202, taken.text
    return url + taken.headers["Location"]


def status_of(place: str) -> dict[str, Any]:
    found: dict[str, Any] = requests.get(place, timeout=60).json()
    return found


def results(place: str) -> Iterator[dict[str, Any]]:
    for line in requests.get(f"{place}/results", timeout=60).content.splitlines():
        yield json.loads(line)


def test_a_worker_is_killed_in_the_middle_and_each_line_is_rated_once(
    database: str, panels: list[Any], expected: list[bytes]
) -> None:
    given = [*panels]
    given[7], given[150] = {"format": "panel/1"}, {**panels[150], "components": [{"part": "NONE-1"}]}
    settings = {"catalogue": CATALOGUE, "lease_seconds": 20}
    with cluster() as running, started(database, cluster=running.address, **settings) as (_, url):
        place = post(url, given)
        assert eventually(lambda: status_of(place)["done"] > 0)
        running.workers[0].kill()
        assert eventually(lambda: status_of(place)["state"] == "done")
        status, told = status_of(place), list(results(place))

    assert (status["total"], status["done"], status["failed"]) == (LINES, LINES, 2)
    assert [each["line"] for each in told] == [*range(1, LINES + 1)]
    assert [each["line"] for each in told if each["status"] != 200] == [8, 151]
    assert [as_text(each["result"]) for each in told if each["status"] == 200] == [
        text for number, text in enumerate(expected) if number not in (7, 150)
    ]
    assert any(error["code"] == "unknown-part" for error in told[150]["problem"]["errors"])
    with closing(open_store(database)) as store:
        kept = [record.id for record in store.records(None, 2 * LINES).items]
    assert sorted(kept) == sorted(each["record"] for each in told if each["status"] == 200), "one too many, or few"


def test_a_batch_waits_for_a_cluster_that_is_gone_and_goes_on_with_it(database: str, panels: list[Any]) -> None:
    settings = {"catalogue": CATALOGUE, "lease_seconds": 20}
    with cluster(1) as running, started(database, cluster=running.address, **settings) as (_, url):
        first = post(url, panels[:2])
        assert eventually(lambda: status_of(first)["state"] == "done")
        running.scheduler.kill()
        running.scheduler.wait()
        place = post(url, panels[:30])
        assert status_of(place)["state"] in ("queued", "running")
        with cluster(1, port=urlsplit(running.address).port or 0):
            assert eventually(lambda: status_of(place)["state"] == "done")
            status = status_of(place)

    assert (status["done"], status["failed"]) == (30, 0)


@pytest.mark.parametrize("command", ["serve", "work"])
def test_one_value_chooses_and_is_refused_where_it_chooses_nothing(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SCCR_DATA", str(tmp_path))
    monkeypatch.setenv("SCCR_WORKERS", "everybody")
    found = CliRunner().invoke(main, [command])
    assert found.exit_code == 2
    assert "'everybody' says nothing of who rates" in found.stderr
    found = CliRunner().invoke(main, [command, "--work-processes", "65"])
    assert found.exit_code == 2
    assert "to 64" in found.stderr
