"""A real cluster on loopback: in order, each panel once, though a worker is killed in the middle."""

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import dask
import distributed  # noqa: F401  # brings the defaults of its settings
import pytest
import trustme

import sccr
from sccr.errors import NoWorkers
from sccr.errors import WorkerLost
from sccr.many.cluster import Cluster
from sccr.many.cluster import _Asked
from sccr.many.cluster import _on_worker
from tests.many.dask_cluster import ROOT
from tests.many.dask_cluster import Running
from tests.many.dask_cluster import cluster
from tests.many.deadly import end
from tests.many.deadly import fail
from tests.many.deadly import slow
from tests.many.deadly import square
from tests.work.serving import eventually

from .panels import CATALOGUE
from .panels import as_rated
from .panels import as_text
from .panels import as_told
from .panels import documents
from .panels import lines


@pytest.fixture(scope="module")
def running() -> Iterator[Running]:
    with cluster() as started:
        yield started


def test_results_come_in_the_order_of_the_items_and_errors_as_they_were_raised(running: Running) -> None:
    with Cluster(running.address) as by:
        assert list(by.map(square, range(40))) == [number**2 for number in range(40)]
        with pytest.raises(LookupError, match="no 1"):
            list(by.map(fail, [1]))
        with pytest.raises(LookupError, match="no 2"):
            list(by.map(fail, iter([2]), lambda _: 0))


def test_a_worker_with_another_engine_rates_nothing(running: Running) -> None:
    with Cluster(running.address) as by:
        future = by._client.submit(_on_worker, square, 3, ("0.0.9", ()), pure=False)
        with pytest.raises(NoWorkers, match=r"a worker has the engine .*, and not those of 0\.0\.9 here"):
            future.result()


def test_every_panel_is_rated_once_though_a_worker_is_killed_in_the_middle() -> None:
    catalogue = sccr.Catalogue.from_document(CATALOGUE)
    panels = lines(300)
    expected = as_rated(documents(300), catalogue)
    with cluster() as running:
        found = []
        for outcome in sccr.rate_many(panels, catalogue, workers=running.address):
            found.append(outcome)
            if len(found) == 30:
                running.workers[0].kill()
                running.workers[0].wait()
        assert running.workers[1].poll() is None

    assert as_told(found) == expected


def test_what_ends_its_workers_is_lost_and_a_scheduler_that_is_gone_is_told() -> None:
    """Each death costs a worker, so the scheduler is told to try no other."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES", "0")
        with cluster() as running, Cluster(running.address) as by:
            with pytest.raises(WorkerLost):
                list(by.map(end, [1]))
            assert list(by.map(square, [3])) == [9], "the other worker goes on"
            results = by.map(slow, ((number, 0.05) for number in range(1_000)))
            next(results)
            running.scheduler.kill()
            with pytest.raises(NoWorkers, match="the scheduler of the cluster is gone"):
                list(results)


def _killed_while_it_is_asked(scheduler: subprocess.Popen[bytes]) -> threading.Timer:
    """Have a scheduler stand still, and end a while later: what asks it meanwhile has no answer."""
    os.kill(scheduler.pid, signal.SIGSTOP)
    timer = threading.Timer(1.0, scheduler.kill)
    timer.start()
    return timer


def test_a_scheduler_that_goes_while_a_result_is_fetched_is_told() -> None:
    with cluster(1) as running, Cluster(running.address) as by:
        asked = _Asked(by._client.submit(square, 3, pure=False))
        assert eventually(asked.done)
        timer = _killed_while_it_is_asked(running.scheduler)
        with pytest.raises(NoWorkers, match="the scheduler of the cluster is gone"):
            asked.result()
        timer.join()


def test_a_scheduler_that_goes_while_it_counts_its_workers_is_told() -> None:
    with cluster(1) as running, Cluster(running.address) as by:
        assert by.at_once == 1
        by._looked = -100.0
        timer = _killed_while_it_is_asked(running.scheduler)
        with pytest.raises(NoWorkers, match="the scheduler of the cluster is gone"):
            _ = by.at_once
        timer.join()


def test_a_scheduler_that_went_while_nothing_was_asked_is_told() -> None:
    """The client tries to reach it again for a while, and then is closed."""
    with cluster(1) as running, Cluster(running.address) as by:
        assert list(by.map(square, [3])) == [9]
        by._client._timeout = 1.0  # or it tries for ten seconds
        running.scheduler.kill()
        assert eventually(lambda: by._client.status == "closed")
        with pytest.raises(NoWorkers, match="the scheduler of the cluster is gone"):
            list(by.map(square, [3]))
        by._looked = -100.0
        with pytest.raises(NoWorkers, match="the scheduler of the cluster is gone"):
            _ = by.at_once


def test_a_scheduler_that_does_not_answer_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sccr.many.cluster._SECONDS", 0.5)
    with pytest.raises(NoWorkers, match=r"the cluster at tcp://127\.0\.0\.1:9 cannot be had"):
        Cluster("tcp://127.0.0.1:9")


@pytest.fixture
def certificates(tmp_path: Path) -> tuple[str, ...]:
    """Certificates of an authority of our own, as options of Dask's programs."""
    authority = trustme.CA()
    ca, own = tmp_path / "ca.pem", tmp_path / "own.pem"
    authority.cert_pem.write_to_path(str(ca))
    authority.issue_cert("127.0.0.1").private_key_and_cert_chain_pem.write_to_path(str(own))
    return ("--tls-ca-file", str(ca), "--tls-cert", str(own), "--tls-key", str(own))


def _settings(options: tuple[str, ...]) -> dict[str, str]:
    named = dict(zip(options[::2], options[1::2], strict=True))
    of_client = "distributed.comm.tls.client"
    return {
        "distributed.comm.tls.ca-file": named["--tls-ca-file"],
        f"{of_client}.cert": named["--tls-cert"],
        f"{of_client}.key": named["--tls-key"],
    }


def test_over_tls_it_takes_the_certificates_of_dasks_own_settings(
    certificates: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with cluster(1, certificates, "tls") as running:
        assert running.address.startswith("tls://")
        with dask.config.set(_settings(certificates)):
            found = list(sccr.rate_many(lines(40), workers=running.address))
        assert len(found) == 40 and {each.status for each in found} >= {"rated"}
        assert _by_command(tmp_path, running.address, certificates) == [each.text for each in found if each.text]

        monkeypatch.setattr("sccr.many.cluster._SECONDS", 3)
        with pytest.raises(NoWorkers, match="TLS"):
            Cluster(running.address)  # no certificates
        stranger = trustme.CA().issue_cert("127.0.0.1").private_key_and_cert_chain_pem
        stranger.write_to_path(str(tmp_path / "stranger.pem"))
        other = {name: str(tmp_path / "stranger.pem") for name in _settings(certificates) if not name.endswith("file")}
        with dask.config.set({**_settings(certificates), **other}), pytest.raises(NoWorkers):
            Cluster(running.address)


def _by_command(folder: Path, address: str, certificates: tuple[str, ...]) -> list[bytes]:
    """The ratings of the same panels by the command, which is told by the environment, as docs/many.md has it."""
    (folder / "panels.ndjson").write_bytes(b"\n".join(lines(40)))
    told = {name.replace(".", "__").replace("-", "_").upper(): file for name, file in _settings(certificates).items()}
    done = subprocess.run(
        [sys.executable, "-m", "api", "rate", "--many", str(folder / "panels.ndjson")],
        cwd=ROOT,
        env={**os.environ, **{f"DASK_{name}": file for name, file in told.items()}, "SCCR_WORKERS": address},
        capture_output=True,
        check=False,
    )
    return [as_text(json.loads(line)["result"]) for line in done.stdout.splitlines() if b'"status":200}' in line]
