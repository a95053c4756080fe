"""`sccr serve`, `sccr work` and `sccr backup` as whoever runs the service calls them, in processes of their own."""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from contextlib import contextmanager
from pathlib import Path

import pytest
import requests
from click.testing import CliRunner

from api.client import Client
from api.command_line import main
from tests.api.conftest import CATALOGUE
from tests.api.conftest import ROOT
from tests.api.conftest import postgresql_server as postgresql_server
from tests.api.prepared import ELEVATOR
from tests.api.prepared import RECORDS
from tests.api.prepared import prepared_store
from tests.store.databases import fresh


def run(*arguments: object) -> tuple[int, str, str]:
    found = CliRunner().invoke(main, [str(each) for each in arguments])
    return found.exit_code, found.stdout, found.stderr


@contextmanager
def started(log: Path, *arguments: object, **environment: str) -> Iterator[subprocess.Popen[str]]:
    """Start a command; its log goes to a file, since a pipe that nobody reads would be full and stop it."""
    command = [sys.executable, "-m", "api", *map(str, arguments)]
    own = {**os.environ, **environment}
    with (
        log.open("w") as told,
        subprocess.Popen(command, cwd=ROOT, env=own, stdout=subprocess.PIPE, stderr=told, text=True) as process,
    ):
        try:
            yield process
        finally:
            process.terminate()
            process.communicate(timeout=60)


def test_it_serves_what_it_is_told_and_others_do_its_work(tmp_path: Path) -> None:
    """One program answers, another rates the batch that it took in; the folder is that of the environment."""
    data = {"SCCR_DATA": str(tmp_path / "data")}
    options = ("--port", 0, "--workers", 1, "--work-processes", 0, "--max-batch-bytes", 2_000, "--catalogue", CATALOGUE)
    log = tmp_path / "log"
    with started(log, "serve", *options, "--webhook-target", "http://127.0.0.1:9", **data) as service:
        assert service.stdout is not None
        url = service.stdout.readline().strip()
        assert url, log.read_text("utf-8")
        with Client(url) as client:
            hook = client.create_webhook("http://127.0.0.1:9/told", ["batch.ended"])
            batch = client.create_batch([ELEVATOR])
            too_long = requests.post(
                f"{url}/v1/batches", b" " * 2_001, headers={"Content-Type": "application/x-ndjson"}, timeout=30
            )
            waiting = client.batch(batch["id"])["state"]
            work = ("work", "--work-processes", 2, "--webhook-target", "http://127.0.0.1:9", "--webhook-attempts", 1)
            with started(tmp_path / "log of work", *work, **data) as worker:
                ended = client.wait_for_batch(batch["id"], seconds=60, pause=0.05)
                told = eventually(client, hook["id"])
                worker.send_signal(signal.SIGINT)
                assert worker.wait(timeout=60) == 0

    assert (waiting, too_long.status_code) == ("queued", 413)
    assert (ended["state"], ended["done"]) == ("done", 1)
    assert told == 1, "attempts after which it was given up"
    assert (tmp_path / "data" / "sccr.db").is_file()
    assert "runs open: no key was ever made" in log.read_text("utf-8")


def eventually(client: Client, hook: str) -> int:
    for _ in range(600):
        for dead in client.deliveries(state="dead", webhook=hook):
            return dead["attempts"]
        time.sleep(0.05)
    raise AssertionError("the webhook is not told")


def test_work_needs_a_database_that_is_there(tmp_path: Path) -> None:
    status, _, err = run("work", "--data", tmp_path / "mistyped")

    assert status == 1
    assert "there is no database" in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "bad", ["erp.example", "https://erp.example/hooks", "ftp://erp.example", "10.20.0.1/16", "https://a:b@erp.example"]
)
@pytest.mark.parametrize("command", ["serve", "work"])
def test_a_bad_webhook_target_is_named_at_the_start(tmp_path: Path, command: str, bad: str) -> None:
    with closing(prepared_store(tmp_path)):
        database = f"sqlite:///{tmp_path / 'prepared.db'}"
    status, _, err = run(
        command, "--database", database, "--webhook-target", "https://good.example", "--webhook-target", bad
    )

    assert status == 2
    assert f"the webhook target '{bad}'" in err
    assert "good.example" not in err


def test_without_keys_it_says_how_to_make_one(tmp_path: Path) -> None:
    status, _, err = run("serve", "--host", "0.0.0.0", "--port", 0, "--data", tmp_path)

    assert status == 2
    assert "sccr keys create --role" in err


def test_a_catalogue_that_is_none_is_told(tmp_path: Path) -> None:
    bad = tmp_path / "catalogue.json"
    bad.write_text('{"format": "catalogue/1", "parts": [{"part": "A", "kind": "contator"}]}', "utf-8")
    status, _, err = run("serve", "--data", tmp_path / "data", "--catalogue", bad)

    assert status == 2
    assert "/parts/0/kind" in err


def test_a_database_that_does_not_answer_is_told() -> None:
    status, _, err = run("serve", "--database", "postgresql://nobody@127.0.0.1:1/x")

    assert status == 1
    assert err.startswith("Error: the database cannot be used: connection failed")


def test_a_copy_is_made_while_it_is_in_use_and_can_be_verified(tmp_path: Path) -> None:
    copy = tmp_path / "copies" / "desk 1.db"
    copy.parent.mkdir()
    with closing(prepared_store(tmp_path)) as store, store.transaction():
        store.add_key("sccr_r_begun", "0" * 64, "read", "not committed yet")
        status, out, _ = run("backup", copy, "--database", f"sqlite:///{tmp_path / 'prepared.db'}")
    address = out.rpartition(" ")[0] and out.split("--database ")[1].strip()

    assert status == 0
    assert copy.stat().st_mode & 0o077 == 0
    assert [file.name for file in copy.parent.iterdir()] == [copy.name]
    assert run("verify", "--database", address) == (0, "2 records rated again: 0 differ\n", "")
    assert json.loads(run("keys", "list", "--format", "json", "--database", address)[1]) == []
    with closing(sqlite3.connect(copy)) as database:
        assert [id for (id,) in database.execute("SELECT id FROM records ORDER BY id")] == list(RECORDS)


def test_a_copy_overwrites_nothing(tmp_path: Path) -> None:
    with closing(prepared_store(tmp_path)):
        database = f"sqlite:///{tmp_path / 'prepared.db'}"
    (tmp_path / "there").write_text("a letter", "utf-8")

    assert run("backup", tmp_path / "there", "--database", database)[0] == 2
    assert run("backup", tmp_path / "nowhere" / "copy.db", "--database", database)[0] == 2
    assert run("backup", tmp_path / "copy.db", "--database", f"sqlite:///{tmp_path / 'mistyped.db'}")[0] == 1
    assert (tmp_path / "there").read_text("utf-8") == "a letter"
    assert not (tmp_path / "copy.db").exists() and not (tmp_path / "mistyped.db").exists()


def test_postgresql_is_copied_by_its_own_program(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    server = request.getfixturevalue("postgresql_server")
    with fresh(server, tmp_path) as address:
        status, _, err = run("backup", tmp_path / "copy.db", "--database", address)
        assert status == 2
        assert "pg_dump" in err
        assert run("verify", "--database", address)[0] == 0
    with fresh(server, tmp_path, migrated=False) as address:
        status, _, err = run("verify", "--database", address)
        assert status == 1
        assert "keeps nothing in it" in err
